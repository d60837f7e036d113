#pragma once
// What a design writes, by kind.
#include "chamber/units/result.hpp"
#include <bitset>
#include <string_view>

namespace chamber::job {

enum class Output { step, stl, glb, program, drawing, traveller, json };
inline constexpr std::size_t output_count = 7;
inline constexpr std::string_view output_names[output_count] = {"step",    "stl",       "glb", "program",
                                                                "drawing", "traveller", "json"};

class Outputs {
public:
  bool has(Output o) const { return set_.test(static_cast<std::size_t>(o)); }
  void add(Output o) { set_.set(static_cast<std::size_t>(o)); }
  void drop(Output o) { set_.reset(static_cast<std::size_t>(o)); }
  bool none() const { return set_.none(); }
  static Outputs all() {
    Outputs out;
    out.set_.set();
    return out;
  }

private:
  std::bitset<output_count> set_;
};

/// From lists with commas ("step,drawing"): those of `only` (all if it is empty), less those of `without`. Fails on an
/// unknown kind, and where nothing would be left.
Result<Outputs> choose_outputs(std::string_view only, std::string_view without);

} // namespace chamber::job
