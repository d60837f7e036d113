#pragma once
// A spec's text as tables and keys that can be changed one by one.
#include <charconv>
#include <fmt/format.h>
#include <stdexcept>
#include <string>
#include <vector>

namespace chamber::job::testing {

class SpecText {
public:
  struct Table {
    std::string name;
    bool listed = false; ///< one of [[name]]
    std::vector<std::pair<std::string, std::string>> keys;
    void set(const std::string& key, std::string value) {
      for (auto& [k, v] : keys)
        if (k == key) {
          v = std::move(value);
          return;
        }
      keys.emplace_back(key, std::move(value));
    }
    void quote(const std::string& key, const std::string& value) { set(key, "\"" + value + "\""); }
    const std::string* find(const std::string& key) const {
      for (const auto& [k, v] : keys)
        if (k == key) return &v;
      return nullptr;
    }
  };

  Table& table(const std::string& name) {
    for (auto& t : tables_)
      if (t.name == name && !t.listed) return t;
    return tables_.emplace_back(Table{name, false, {}});
  }
  Table& add(const std::string& name) { return tables_.emplace_back(Table{name, true, {}}); }
  void drop(const std::string& name) {
    std::erase_if(tables_, [&](const Table& t) { return t.name == name; });
  }
  bool has(const std::string& name) const {
    for (const auto& t : tables_)
      if (t.name == name) return true;
    return false;
  }

  /// Changes what a message names: "limits.wall_min", "shape.bowl_radius.max", "body.step 3 length".
  void change(const std::string& key, const std::string& value) {
    if (const auto blank = key.find(' '); blank != std::string::npos) {
      int nth = 0;
      const auto rest = key.substr(blank + 1);
      const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), nth);
      if (error != std::errc{} || *end != ' ') throw std::runtime_error("no such key: " + key);
      for (auto& t : tables_)
        if (t.listed && t.name == key.substr(0, blank) && --nth == 0) return t.quote(end + 1, value);
      throw std::runtime_error("no such key: " + key);
    }
    const auto dot = key.rfind('.');
    const auto name = key.substr(0, dot), last = key.substr(dot + 1);
    if (const auto up = name.rfind('.'); up != std::string::npos && !has(name)) {
      // A dimension that was given as one figure gets its freedom.
      auto& above = table(name.substr(0, up));
      const auto* fixed = above.find(name.substr(up + 1));
      if (!fixed) throw std::runtime_error("no such key: " + key);
      const auto prefer = *fixed;
      std::erase_if(above.keys, [&](const auto& k) { return k.first == name.substr(up + 1); });
      table(name).set("prefer", prefer);
    }
    table(name).quote(last, value);
  }

  std::string text() const {
    std::string out;
    for (const auto& t : tables_) {
      out += t.listed ? fmt::format("[[{}]]\n", t.name) : fmt::format("[{}]\n", t.name);
      for (const auto& [key, value] : t.keys) out += fmt::format("{} = {}\n", key, value);
    }
    return out;
  }

private:
  std::vector<Table> tables_;
};

} // namespace chamber::job::testing
