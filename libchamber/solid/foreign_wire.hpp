#pragma once
// How a request and its answer cross between the program and the process that measures. Both are of one build, so
// numbers travel as they lie in memory.
#include "chamber/solid/foreign.hpp"
#include <cstdint>
#include <cstring>
#include <string_view>
#include <type_traits>

namespace chamber::solid::wire {

struct Request {
  std::string path;
  MeasureOptions options;
};

/// Either a Measured or a Problem.
struct Answer {
  bool ok = false;
  Measured measured;
  Problem problem;
};

/// Those that hold what not every byte can be travel by their parts.
template <class T>
inline constexpr bool in_parts = std::is_same_v<T, PlugHole> || std::is_same_v<T, profile::S>;

template <class Channel, class H>
void parts(Channel& c, H& h) requires std::is_same_v<std::remove_const_t<H>, PlugHole> {
  c(h.radius_mm), c(h.end_mm), c(h.top_mm), c(h.tilt_deg), c(h.offset_mm), c(h.at_roof);
}
template <class Channel, class S>
void parts(Channel& c, S& s) requires std::is_same_v<std::remove_const_t<S>, profile::S> {
  c(s.kind), c(s.start), c(s.end), c(s.centre), c(s.radius);
}

class Writer {
public:
  template <class T>
  void operator()(const T& value) {
    static_assert(std::is_trivially_copyable_v<T>);
    if constexpr (in_parts<T>)
      parts(*this, value);
    else
      bytes.append(reinterpret_cast<const char*>(&value), sizeof value);
  }
  void operator()(const std::string& text) { (*this)(std::uint64_t{text.size()}), bytes += text; }
  template <class T>
  void operator()(const std::vector<T>& list) {
    (*this)(std::uint64_t{list.size()});
    for (const auto& item : list) (*this)(item);
  }
  std::string bytes;
};

/// Turns bad, and stays so, when the bytes run out or are none that such a value has: the process that wrote them may
/// have died with its memory in ruins.
class Reader {
public:
  explicit Reader(std::string_view bytes) : left_(bytes) {}
  template <class T>
  void operator()(T& value) {
    static_assert(std::is_trivially_copyable_v<T>);
    if constexpr (in_parts<T>)
      parts(*this, value);
    else if (const char* from = take(sizeof value))
      std::memcpy(&value, from, sizeof value);
  }
  void operator()(bool& value) { value = one_of<std::uint8_t>(1) != 0; }
  void operator()(Body& value) { value = static_cast<Body>(one_of<std::underlying_type_t<Body>>(1)); }
  void operator()(profile::Kind& value) {
    value = static_cast<profile::Kind>(one_of<std::underlying_type_t<profile::Kind>>(2));
  }
  void operator()(std::string& text) {
    const auto n = count();
    if (const char* from = take(n)) text.assign(from, n);
  }
  template <class T>
  void operator()(std::vector<T>& list) {
    const auto n = count();
    for (std::size_t i = 0; i < n && good_; ++i) (*this)(list.emplace_back());
  }
  /// Everything was there, and nothing more.
  bool whole() const { return good_ && left_.empty(); }

private:
  std::size_t count() {
    std::uint64_t n = 0;
    (*this)(n);
    return good_ ? static_cast<std::size_t>(n) : 0;
  }
  template <class N>
  N one_of(N last) {
    N n = 0;
    (*this)(n);
    good_ = good_ && n >= 0 && n <= last;
    return good_ ? n : N{0};
  }
  const char* take(std::size_t n) {
    good_ = good_ && n <= left_.size();
    if (!good_) return nullptr;
    const char* from = left_.data();
    left_.remove_prefix(n);
    return from;
  }
  std::string_view left_;
  bool good_ = true;
};

template <class Channel, class R>
void fields(Channel& c, R& r) requires std::is_same_v<std::remove_const_t<R>, Request> {
  c(r.path), c(r.options);
}

template <class Channel, class A>
void fields(Channel& c, A& a) requires std::is_same_v<std::remove_const_t<A>, Answer> {
  c(a.ok), c(a.problem.place.file), c(a.problem.message), c(a.problem.cure);
  auto& m = a.measured;
  c(m.body), c(m.unit), c(m.solids), c(m.solid), c(m.axis), c(m.axis_share), c(m.sealing_mm), c(m.sealing_radius_mm);
  c(m.mouth_area_mm2), c(m.mouth_radius_mm), c(m.volume_mm3), c(m.volume_doubt_mm3), c(m.depth_mm), c(m.height_mm);
  c(m.largest_diameter_mm), c(m.plug_holes), c(m.turned), c(m.not_turned), c(m.chain), c(m.turned_rim), c(m.no_chain),
      c(m.notes);
}

template <class T>
std::string pack(const T& value) {
  Writer writer;
  fields(writer, value);
  return std::move(writer.bytes);
}

/// Empty when the bytes are not exactly one T.
template <class T>
std::optional<T> unpack(std::string_view bytes) {
  Reader reader(bytes);
  T value;
  fields(reader, value);
  return reader.whole() ? std::optional<T>(std::move(value)) : std::nullopt;
}

} // namespace chamber::solid::wire
