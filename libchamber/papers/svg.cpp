#include "chamber/papers/svg.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <charconv>
#include <cmath>
#include <stdexcept>

namespace chamber::papers {

std::string escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    switch (c) {
    case '&':
      out += "&amp;";
      break;
    case '<':
      out += "&lt;";
      break;
    case '>':
      out += "&gt;";
      break;
    case '"':
      out += "&quot;";
      break;
    case '\'':
      out += "&#39;";
      break;
    default:
      out += c;
    }
  }
  return out;
}

std::string coordinate(double value) {
  if (!std::isfinite(value)) throw std::logic_error("picture: a coordinate is not a finite number");
  std::string out = units::fixed(value, 2);
  while (out.back() == '0') out.pop_back();
  if (out.back() == '.') out.pop_back();
  return out;
}

double text_width(std::string_view text, double font_size) {
  double ems = 0;
  for (const char c : text) {
    if ((static_cast<unsigned char>(c) & 0xc0) == 0x80) continue; // not the first byte of its character
    // Widths of DejaVu Sans, rounded up: the widest of the common ones.
    if (std::string_view(" .,:;'|!ilj()[]-").find(c) != std::string_view::npos)
      ems += 0.4;
    else if (std::string_view("mwMW%").find(c) != std::string_view::npos)
      ems += 0.99;
    else
      ems += c >= 'A' && c <= 'Z' ? 0.75 : 0.64;
  }
  return ems * font_size;
}

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

std::string on_white(std::string_view svg) {
  std::string out;
  for (std::size_t at = 0; at < svg.size();) {
    const auto var = svg.find("var(--", at), comma = svg.find(", ", var), end = svg.find(')', var);
    if (var == svg.npos || comma == svg.npos || end == svg.npos || comma > end) return out.append(svg.substr(at));
    out.append(svg.substr(at, var - at)).append(svg.substr(comma + 2, end - comma - 2));
    at = end + 1;
  }
  return out;
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
