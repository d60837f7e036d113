#include "model.hpp"
#include <stdexcept>

namespace chamber::manual {
namespace {

Value value_of(const CLI::Option& o) {
  Value v;
  if (o.get_items_expected_max() == 0) return v;
  const std::string type = o.get_type_name();
  const auto open = type.find(":{");
  v.shown = type.substr(0, type.find(':'));
  v.kind = Value::Kind::text;
  if (open != type.npos && type.back() == '}') {
    v.kind = v.shown == "LIST" ? Value::Kind::list : Value::Kind::one;
    v.words = CLI::detail::split(type.substr(open + 2, type.size() - open - 3), ',');
  } else if (v.shown == "FOLDER") {
    v.kind = Value::Kind::folder;
  } else if (v.shown.rfind("FILE", 0) == 0) {
    v.kind = Value::Kind::file;
    v.suffix = v.shown.substr(4);
  }
  return v;
}

Option option_of(const CLI::Option& o) {
  Option out;
  for (const auto& n : o.get_snames()) out.names.push_back("-" + n);
  for (const auto& n : o.get_lnames()) out.names.push_back("--" + n);
  if (out.names.empty()) out.positional = o.get_name();
  out.value = value_of(o);
  out.description = o.get_description();
  out.standard = o.get_default_str();
  out.required = o.get_required();
  out.repeated = o.get_multi_option_policy() == CLI::MultiOptionPolicy::TakeAll && out.value.kind != Value::Kind::none;
  if (out.description.empty()) throw std::logic_error("an option without a description: " + o.get_name());
  return out;
}

std::vector<Option> options_of(const CLI::App& app) {
  std::vector<Option> out;
  for (const auto* o : app.get_options()) out.push_back(option_of(*o));
  return out;
}

} // namespace

Program read(const CLI::App& app) {
  Program out{app.get_description(), options_of(app), {}};
  for (const auto* c : app.get_subcommands({}))
    out.commands.push_back({c->get_name(), c->get_description(), options_of(*c)});
  return out;
}

} // namespace chamber::manual
