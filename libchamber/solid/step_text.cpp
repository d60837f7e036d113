#include "chamber/solid/step_text.hpp"
#include <istream>

namespace chamber::solid {
namespace {

bool space(char c) {
  return c == ' ' || (c >= '\t' && c <= '\r');
}

} // namespace

Result<void> check_step_text(std::istream& in, std::uintmax_t size) {
  constexpr std::size_t window = 4096;
  std::string head(window, '\0');
  in.read(head.data(), static_cast<std::streamsize>(window));
  head.resize(static_cast<std::size_t>(in.gcount()));
  if (head.find_first_not_of(" \t\r\n") == std::string::npos && size <= window)
    return fail("the file is empty.", "export it again as STEP.");
  if (head.starts_with("\xef\xbb\xbf")) head.erase(0, 3);
  std::size_t at = 0;
  while (at < head.size() && space(head[at])) ++at;
  const std::string_view first = "ISO-10303-21;";
  if (head.compare(at, first.size(), first) != 0)
    return fail(size < first.size() ? "the file ends before it has begun."
                                    : "this is not a STEP file: it does not begin with \"ISO-10303-21;\".",
                "export the part as STEP (.step, .stp), not compressed.");
  in.clear();
  in.seekg(size > window ? static_cast<std::streamoff>(size - window) : 0);
  std::string tail(window, '\0');
  in.read(tail.data(), static_cast<std::streamsize>(window));
  tail.resize(static_cast<std::size_t>(in.gcount()));
  if (tail.find("END-ISO-10303-21") == std::string::npos)
    return fail("the STEP file is cut off: it does not end with \"END-ISO-10303-21;\".",
                "copy or export it again, whole.");
  return {};
}

} // namespace chamber::solid
