#include "chamber/profile/table.hpp"
#include <algorithm>
#include <charconv>

namespace chamber::profile::detail {
namespace {

std::string_view trimmed(std::string_view s) {
  const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '"'; };
  while (!s.empty() && blank(s.front())) s.remove_prefix(1);
  while (!s.empty() && blank(s.back())) s.remove_suffix(1);
  return s;
}

/// Lower-case words of letters; every sign for a diameter becomes "dia".
std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> out;
  std::string word;
  const auto close = [&] {
    if (!word.empty()) out.push_back(std::move(word));
    word.clear();
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto rest = text.substr(i);
    bool sign = false;
    for (const std::string_view mark : {"\u00f8", "\u00d8", "\u2300"})
      if (rest.starts_with(mark)) {
        close();
        out.push_back("dia");
        i += mark.size() - 1;
        sign = true;
      }
    if (sign) continue;
    const char c = text[i] >= 'A' && text[i] <= 'Z' ? static_cast<char>(text[i] + 32) : text[i];
    if (c >= 'a' && c <= 'z')
      word += c;
    else
      close();
  }
  close();
  return out;
}

bool one_of(std::string_view w, std::initializer_list<std::string_view> all) {
  return std::find(all.begin(), all.end(), w) != all.end();
}

enum class Axis { none, radius, diameter, across, along, weak_along };
Axis axis_of(std::string_view w) {
  if (one_of(w, {"r", "rad", "radius", "radii"})) return Axis::radius;
  if (one_of(w, {"d", "dia", "diam", "diameter", "diameters"})) return Axis::diameter;
  if (w == "x") return Axis::across;
  if (one_of(w, {"z", "depth", "height", "h"})) return Axis::along;
  if (w == "y") return Axis::weak_along;
  return Axis::none;
}

struct Column {
  Axis axis = Axis::none;
  int number = 0;
};

/// Axis words of one line with their columns: by its fields if those match the numbers', else in the order they come.
std::vector<Column> columns_of(std::string_view text, std::size_t columns, char separator) {
  std::vector<Column> out;
  const auto fields = split_fields(text, separator);
  if (fields.count == columns) {
    for (std::size_t i = 0; i < columns; ++i)
      for (const auto& w : words_of(fields.text[i]))
        if (const auto a = axis_of(w); a != Axis::none) {
          out.push_back({a, static_cast<int>(i) + 1});
          break;
        }
    return out;
  }
  for (const auto& w : words_of(text))
    if (const auto a = axis_of(w); a != Axis::none) out.push_back({a, static_cast<int>(out.size()) + 1});
  if (out.size() != columns) out.clear();
  return out;
}

void take_columns(const std::vector<Column>& columns, Header& h) {
  const auto find = [&](Axis a) {
    const auto it = std::find_if(columns.begin(), columns.end(), [&](const Column& c) { return c.axis == a; });
    return it == columns.end() ? 0 : it->number;
  };
  const int radius = find(Axis::radius), diameter = find(Axis::diameter), x = find(Axis::across);
  const int along = find(Axis::along) ? find(Axis::along) : find(Axis::weak_along);
  const int across = radius ? radius : diameter ? diameter : x;
  if (!across || !along || across == along) return;
  h.across = across;
  h.along = along;
  h.kind = radius ? Across::radius : diameter ? Across::diameter : Across::automatic;
}

void take_unit(std::string_view text, bool column_line, Header& h) {
  bool mm = false, inch = false, after_unit = false;
  for (const auto& w : words_of(text)) {
    mm = mm || one_of(w, {"mm", "millimetre", "millimetres", "millimeter", "millimeters", "metric"});
    inch = inch || one_of(w, {"inch", "inches"}) || (w == "in" && (column_line || after_unit));
    if (one_of(w, {"cm", "thou", "um", "mil", "mils", "micron", "microns"})) h.foreign_unit = w;
    after_unit = one_of(w, {"unit", "units"});
  }
  if (mm != inch) h.unit = mm ? LengthUnit::millimetre : LengthUnit::inch;
}

} // namespace

Fields split_fields(std::string_view line, char separator) {
  Fields f;
  const auto push = [&](std::string_view t) {
    if (f.count < most_columns)
      f.text[f.count++] = t;
    else
      f.count = most_columns + 1;
  };
  line = trimmed(line);
  while (!line.empty() && f.count <= most_columns) {
    const auto end = separator == ' ' ? line.find_first_of(" \t") : line.find(separator);
    push(trimmed(line.substr(0, end)));
    if (end == std::string_view::npos) break;
    line.remove_prefix(end + 1);
    if (separator == ' ') line = trimmed(line);
  }
  return f;
}

bool read_number(std::string_view text, bool decimal_comma, double& value) {
  char copy[64];
  if (text.empty() || text.size() > sizeof copy) return false;
  if (text.front() == '+' && text.size() > 1 && text[1] != '-') text.remove_prefix(1);
  if (decimal_comma && text.find(',') != std::string_view::npos) {
    if (text.find('.') != std::string_view::npos) return false;
    std::replace_copy(text.begin(), text.end(), copy, ',', '.');
    text = {copy, text.size()};
  }
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error == std::errc{} && end == text.data() + text.size();
}

int decimals_of(std::string_view number) {
  const auto point = number.find_first_of(".,"), e = number.find_first_of("eE");
  const auto end = e == std::string_view::npos ? number.size() : e;
  int places = point < end ? static_cast<int>(end - point) - 1 : 0, exponent = 0;
  if (e != std::string_view::npos) {
    auto power = number.substr(e + 1);
    if (!power.empty() && power.front() == '+') power.remove_prefix(1);
    std::from_chars(power.data(), power.data() + power.size(), exponent);
  }
  return places - std::clamp(exponent, -300, 300);
}

char separator_of(std::string_view line) {
  for (const char s : {';', '\t', ',', ' '}) {
    if (s != ' ' && line.find(s) == std::string_view::npos) continue;
    const auto f = split_fields(line, s);
    bool all = f.count >= 2 && f.count <= most_columns;
    double x = 0;
    for (std::size_t i = 0; all && i < f.count; ++i) all = read_number(f.text[i], s != ',', x);
    if (all) return s;
  }
  return 0;
}

Header read_header(const std::vector<std::string>& lines, std::size_t columns, char separator) {
  Header h;
  for (const auto& l : lines) {
    std::vector<Column> found;
    // A header may be parted otherwise than its numbers.
    for (const char s : {separator, ',', ';', '\t', ' '})
      if (found.size() < 2) found = columns_of(l, columns, s);
    if (found.size() >= 2) take_columns(found, h);
    take_unit(l, found.size() >= 2, h);
  }
  return h;
}

} // namespace chamber::profile::detail
