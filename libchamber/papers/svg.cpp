#include "chamber/papers/svg.hpp"
#include <algorithm>
#include <charconv>
#include <stdexcept>

namespace chamber::papers {

namespace {

/// The text, with the prefix behind each occurrence of the mark.
std::string prefixed_behind(std::string_view text, std::string_view mark, std::string_view prefix) {
  std::string out;
  out.reserve(text.size() + text.size() / 4);
  for (std::size_t at = 0;;) {
    const auto found = text.find(mark, at);
    if (found == text.npos) return out.append(text.substr(at));
    out.append(text.substr(at, found + mark.size() - at)).append(prefix);
    at = found + mark.size();
  }
}

std::string_view root_of(std::string_view svg) {
  const auto start = svg.find("<svg"), end = svg.rfind("</svg>");
  if (start == std::string_view::npos || end == std::string_view::npos || end < start)
    throw std::logic_error("picture: no <svg> element");
  return svg.substr(start, end + 6 - start);
}

/// Whether one tag, from behind its '<' to its '>', could run anything.
bool active(std::string_view tag) {
  std::string lower;
  char quote = 0;
  for (const char c : tag) {
    if (quote == 0 && (c == '"' || c == '\'')) {
      quote = c;
    } else if (c == quote) {
      quote = 0;
    } else if (quote != 0) {
      continue; // values may say what they like, but for the one below
    }
    lower += static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
  }
  for (const std::string_view name : {"script", "foreignobject", "iframe"})
    if (lower.starts_with(name)) return true;
  for (const std::string_view space : {" on", "\ton", "\non"})
    if (lower.find(space) != std::string::npos) return true;
  return tag.find("javascript:") != std::string_view::npos;
}

bool any_active(std::string_view svg) {
  for (std::size_t at = 0; (at = svg.find('<', at)) != std::string_view::npos;) {
    const auto end = std::min(svg.find('>', at), svg.size());
    if (active(svg.substr(at + 1, end - at - 1))) return true;
    at = end;
  }
  return false;
}

} // namespace

std::string inline_svg(std::string_view svg, std::string_view prefix) {
  const auto root = root_of(svg);
  if (any_active(root)) throw std::logic_error("picture: it holds a script");
  return prefixed_behind(prefixed_behind(prefixed_behind(root, " id=\"", prefix), "href=\"#", prefix), "url(#", prefix);
}

double aspect(std::string_view svg) {
  const auto root = root_of(svg);
  const auto at = root.find("viewBox=\"");
  double box[4] = {};
  if (at != std::string_view::npos) {
    const char *next = root.data() + at + 9, *const end = root.data() + root.size();
    for (double& value : box) {
      while (next != end && (*next == ' ' || *next == ',')) ++next;
      const auto read = std::from_chars(next, end, value);
      if (read.ec != std::errc()) break;
      next = read.ptr;
    }
  }
  if (!(box[2] > 0) || !(box[3] > 0)) throw std::logic_error("picture: no viewBox with a size");
  return box[2] / box[3];
}

} // namespace chamber::papers
