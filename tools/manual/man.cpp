#include "model.hpp"
#include <algorithm>

namespace chamber::manual {
namespace {

/// Text for troff: a dash that is typed is no hyphen, and no line of text begins a request.
std::string troff(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '\\')
      out += "\\e";
    else if (c == '-')
      out += "\\-";
    else if ((c == '.' || c == '\'') && (out.empty() || out.back() == '\n'))
      out += std::string("\\&") + c;
    else
      out += c;
  }
  return out;
}

/// Lines of the source of at most 80 bytes.
std::string wrapped(const std::string& text) {
  std::string out, line;
  for (std::size_t at = 0; at < text.size();) {
    const auto end = std::min(text.find_first_of(" \n", at), text.size());
    if (!line.empty() && line.size() + 1 + end - at > 80) {
      out += line + "\n";
      line.clear();
    }
    line += (line.empty() ? "" : " ") + text.substr(at, end - at);
    if (end < text.size() && text[end] == '\n') {
      out += line + "\n";
      line.clear();
    }
    at = end + 1;
  }
  return out + line;
}

std::string joined(const std::vector<std::string>& words, const std::string& between) {
  std::string out;
  for (const auto& w : words) out += (out.empty() ? "" : between) + w;
  return out;
}

std::string entry(const Option& o) {
  std::string head;
  for (const auto& n : o.names) head += (head.empty() ? "" : ", ") + ("\\fB" + troff(n) + "\\fR");
  if (o.names.empty())
    head = "\\fI" + troff(o.positional) + "\\fR";
  else if (o.value.kind != Value::Kind::none)
    head += " \\fI" + troff(o.value.shown) + "\\fR";
  std::string text = troff(o.description) + ".";
  if (!o.value.words.empty()) text += "\nOne of: " + troff(joined(o.value.words, ", ")) + ".";
  if (o.value.kind == Value::Kind::list) text.replace(text.rfind("One of"), 6, "Some of");
  if (!o.standard.empty()) text += "\nIf left out: " + troff(o.standard) + ".";
  if (o.required && !o.names.empty()) text += "\nMust be given.";
  return ".TP\n" + head + "\n" + wrapped(text) + "\n";
}

} // namespace

std::string man_options(const std::vector<Option>& options) {
  std::string out;
  for (const auto& o : options) out += entry(o);
  return out;
}

std::string man_commands(const Program& program) {
  std::string out;
  for (const auto& c : program.commands) {
    std::string usage = "\\fBchamber " + troff(c.name) + "\\fR [\\fIoptions\\fR]";
    for (const auto& o : c.options)
      if (o.names.empty()) usage += " \\fI" + troff(o.positional) + "\\fR";
    out += ".SS " + troff(c.name) + "\n" + usage + "\n.PP\n" + wrapped(troff(c.description) + ".") + "\n" +
           man_options(c.options);
  }
  return out;
}

} // namespace chamber::manual
