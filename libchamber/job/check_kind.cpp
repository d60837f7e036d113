// What a file is.
#include "chamber/job/check_read.hpp"
#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fmt/format.h>
#include <fstream>

namespace chamber::job {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t looked_at = 8192;

tl::unexpected<Failure> failed(Exit code, const std::string& file, std::string message, std::string cure) {
  return tl::unexpected(
      Failure{code, {{{file, 0, 0}, std::move(message), std::move(cure)}}, {}, "Nothing was judged."});
}

std::string_view trimmed(std::string_view s) {
  while (!s.empty() && (s.front() == ' ' || s.front() == '\t')) s.remove_prefix(1);
  while (!s.empty() && (s.back() == ' ' || s.back() == '\t' || s.back() == '\r')) s.remove_suffix(1);
  return s;
}

bool digit(char c) {
  return c >= '0' && c <= '9';
}

/// "G0 X1.0", "N10 T1 M6", "O1001": a letter of the trade with a number behind it, and nothing but such words.
bool program_line(std::string_view s) {
  bool any = false;
  while (!s.empty()) {
    if (s.front() == ' ') {
      s.remove_prefix(1);
      continue;
    }
    if (std::string_view("NGMTSFXZIKUWRDPQHLOE").find(s.front()) == std::string_view::npos) return false;
    s.remove_prefix(1);
    const auto n = s.find_first_not_of("+-.0123456789");
    if (n == 0 || s.empty()) return false;
    any = true;
    s.remove_prefix(std::min(n, s.size()));
  }
  return any;
}

std::vector<std::string_view> lines_of(std::string_view text) {
  std::vector<std::string_view> out;
  while (!text.empty() && out.size() < 200) {
    const auto end = std::min(text.find('\n'), text.size());
    if (const auto line = trimmed(text.substr(0, end)); !line.empty()) out.push_back(line);
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return out;
}

std::optional<Recognised> by_content(std::string_view text) {
  if (text.starts_with("\xef\xbb\xbf")) text.remove_prefix(3);
  const auto lines = lines_of(text);
  if (lines.empty()) return std::nullopt;
  if (lines[0].starts_with("ISO-10303-21")) return Recognised{CheckKind::step, "it begins as STEP files do"};
  if (lines[0].starts_with("AutoCAD Binary DXF") || lines[0] == "999" ||
      (lines[0] == "0" && lines.size() > 1 && lines[1] == "SECTION"))
    return Recognised{CheckKind::dxf, "it begins as DXF files do"};
  std::size_t tables = 0, values = 0, words = 0;
  for (const auto l : lines) {
    tables += l.front() == '[' && l.find(']') != std::string_view::npos && !digit(l[1]);
    values += l.find('=') != std::string_view::npos;
    words += program_line(l);
  }
  if (tables > 0 && values > 0) return Recognised{CheckKind::spec, "it holds tables in brackets, as specs do"};
  const bool percent = lines[0] == "%" || (lines[0][0] == 'O' && program_line(lines[0]));
  if (words >= 3 || (percent && words > 0))
    return Recognised{CheckKind::program, "it holds words as lathe programs do"};
  return std::nullopt;
}

std::optional<CheckKind> by_name(const std::string& file) {
  auto ending = fs::path(file).extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
  static constexpr std::pair<std::string_view, CheckKind> endings[] = {
      {".csv", CheckKind::points}, {".dat", CheckKind::points},  {".tsv", CheckKind::points},
      {".xy", CheckKind::points},  {".dxf", CheckKind::dxf},     {".step", CheckKind::step},
      {".stp", CheckKind::step},   {".ngc", CheckKind::program}, {".nc", CheckKind::program},
      {".toml", CheckKind::spec}};
  for (const auto& [e, kind] : endings)
    if (ending == e) return kind;
  return std::nullopt;
}

} // namespace

Recognised recognise_head(std::string_view head, const std::string& file) {
  const auto named = by_name(file);
  if (auto seen = by_content(head)) {
    if (named && *named != seen->kind) seen->why += ", whatever its name says";
    return *seen;
  }
  if (named) return {*named, "its name ends so"};
  return {CheckKind::points, "it is nothing else"};
}

tl::expected<Recognised, Failure> recognise(const std::string& file) {
  std::error_code error;
  if (fs::is_directory(file, error))
    return failed(Exit::files, file, "this is a folder.", "name the file that holds the chamber.");
  std::ifstream in(file, std::ios::binary);
  if (!in)
    return failed(Exit::files, file, fmt::format("the file cannot be opened: {}.", std::strerror(errno)),
                  "check the path and the right to read it.");
  std::string head(looked_at, '\0');
  in.read(head.data(), static_cast<std::streamsize>(head.size()));
  head.resize(static_cast<std::size_t>(in.gcount()));
  if (in.bad()) return failed(Exit::files, file, "the file cannot be read.", "check the disk.");
  if (head.empty()) return failed(Exit::spec, file, "the file is empty.", "export it again.");
  return recognise_head(head, file);
}

} // namespace chamber::job
