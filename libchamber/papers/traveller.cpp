#include "chamber/papers/traveller.hpp"
#include "chamber/papers/assets.hpp"
#include "chamber/papers/svg.hpp"
#include <kainjow/mustache.hpp>
#include <stdexcept>
#include <zlib.h>

namespace chamber::papers {
namespace {

using kainjow::mustache::data;
using kainjow::mustache::mustache;
using List = kainjow::mustache::list;

template <class Items, class Each>
data list_of(const Items& items, const Each& each) {
  List out;
  for (const auto& item : items) out.push_back(each(item));
  return data{out};
}

/// A list with a word of whether there is anything in it, so that empty sections leave no heading behind.
void put_list(data& into, const std::string& name, const data& list) {
  into.set("has_" + name, !list.list_value().empty());
  into.set(name, list);
}

/// An empty text counts as absent in the template.
void put(data& into, const char* name, const std::string& text) {
  into.set(name, text.empty() ? data{data::type::bool_false} : data{text});
}

data of(const std::string& text) {
  data d;
  d.set("text", text);
  return d;
}

data of(const Fact& fact) {
  data d;
  put(d, "name", fact.name);
  put(d, "value", fact.value);
  put(d, "note", fact.note);
  return d;
}

/// Numbers the pictures, so that each one's ids are its own.
class Pictures {
public:
  data operator()(const Picture& p) {
    return with(p.title, figure::to_svg(p.figure, prefix()), p.caption,
                std::string(figure::aspect(p.figure) > 1 ? "wide" : "tall") + (p.on_paper ? "" : " screen-only"));
  }
  data operator()(const Drawn& p) {
    return with(p.title, inline_svg(p.svg, prefix()), p.caption, aspect(p.svg) > 1 ? "wide" : "tall");
  }

private:
  static data with(const std::string& title, const std::string& svg, const std::string& caption,
                   const std::string& form) {
    data d;
    put(d, "title", title);
    d.set("svg", svg);
    put(d, "caption", caption);
    d.set("form", form);
    return d;
  }
  std::string prefix() { return "p" + std::to_string(++count_) + "-"; }

  int count_ = 0;
};

data of(const ToolLine& tool) {
  data d;
  put(d, "number", tool.number);
  put(d, "name", tool.name);
  put(d, "work", tool.work);
  put(d, "nose", tool.nose);
  put(d, "tip", tool.tip);
  put(d, "out", tool.out);
  put(d, "speed", tool.speed);
  put(d, "feed", tool.feed);
  put(d, "passes", tool.passes);
  put(d, "time", tool.time);
  put(d, "lines", tool.lines);
  return d;
}

data of(const SetupSheet& sheet, Pictures& pictures) {
  data d;
  put(d, "title", sheet.title);
  put(d, "program", sheet.program);
  put(d, "time", sheet.time);
  put_list(d, "facts", list_of(sheet.facts, [](const Fact& f) { return of(f); }));
  put_list(d, "order", list_of(sheet.order, [](const std::string& s) { return of(s); }));
  put_list(d, "tools", list_of(sheet.tools, [](const ToolLine& t) { return of(t); }));
  put_list(d, "steps", list_of(sheet.steps, [&](const Picture& p) { return pictures(p); }));
  put_list(d, "notes", list_of(sheet.notes, [](const std::string& s) { return of(s); }));
  return d;
}

std::string base64(std::string_view bytes) {
  constexpr char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    unsigned three = 0;
    for (std::size_t k = 0; k < 3; ++k)
      three = three << 8 | (i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0u);
    for (std::size_t k = 0; k < 4; ++k) out += i + k > bytes.size() ? '=' : digits[three >> (18 - 6 * k) & 63];
  }
  return out;
}

/// As zlib packs it, quickly: the rings of a turned body are much alike.
std::string packed(std::string_view bytes) {
  auto size = compressBound(bytes.size());
  std::string out(size, 0);
  if (compress2(reinterpret_cast<Bytef*>(out.data()), &size, reinterpret_cast<const Bytef*>(bytes.data()), bytes.size(),
                Z_BEST_SPEED) != Z_OK)
    throw std::logic_error("traveller: the model cannot be packed");
  out.resize(size);
  return out;
}

data measure_of(const Measure& m, int number) {
  data d;
  d.set("number", std::to_string(number));
  put(d, "what", m.what);
  put(d, "wanted", m.wanted);
  put(d, "limits", m.limits);
  put(d, "with", m.with);
  return d;
}

void fill_bench(data& d, const Traveller& t) {
  int number = 0;
  put_list(d, "inspection", list_of(t.inspection, [&](const Measure& m) { return measure_of(m, ++number); }));
  d.set("has_burette", t.burette.has_value());
  d.set("has_bench", t.burette.has_value() || !t.inspection.empty());
  if (t.burette) {
    data b;
    put(b, "wanted", t.burette->wanted);
    put(b, "limits", t.burette->limits);
    put(b, "how", t.burette->how);
    d.set("burette", b);
  }
  put_list(d, "programs", list_of(t.programs, [](const ProgramFile& f) {
             data one;
             put(one, "file", f.file);
             put(one, "what", f.what);
             put(one, "hash", f.hash);
             return one;
           }));
}

data filled(const Traveller& t) {
  data d;
  Pictures pictures;
  for (const auto& [name, text] : {std::pair<const char*, const std::string&>{"job", t.job},
                                   {"revision", t.revision},
                                   {"customer", t.customer},
                                   {"material", t.material},
                                   {"note", t.note},
                                   {"made_by", t.made_by},
                                   {"spec_hash", t.spec_hash}})
    put(d, name, text);
  const auto fact = [](const Fact& f) { return of(f); };
  const auto sentence = [](const std::string& s) { return of(s); };
  const auto picture = [&](const auto& p) { return pictures(p); };
  put_list(d, "headline", list_of(t.headline, fact));
  put_list(d, "measured", list_of(t.measured, [&](const FactGroup& g) {
             data one;
             put(one, "title", g.title);
             one.set("facts", list_of(g.facts, fact));
             return one;
           }));
  put_list(d, "answer", list_of(t.answer, fact));
  put_list(d, "reasons", list_of(t.reasons, sentence));
  d.set("has_looks", !t.glb.empty() || t.section.has_value());
  d.set("has_glb", !t.glb.empty());
  d.set("glb", t.glb.empty() ? "" : base64(packed(t.glb)));
  d.set("has_section", t.section.has_value());
  if (t.section) d.set("section", pictures(*t.section));
  put_list(d, "charts", list_of(t.charts, picture));
  put_list(d, "drawings", list_of(t.drawings, picture));
  put_list(d, "setups", list_of(t.setups, [&](const SetupSheet& s) { return of(s, pictures); }));
  fill_bench(d, t);
  put_list(d, "notes", list_of(t.notes, sentence));
  put_list(d, "cautions", list_of(t.cautions, sentence));
  return d;
}

} // namespace

std::string to_html(const Traveller& traveller) {
  mustache page{std::string(page_template())};
  if (!page.is_valid()) throw std::logic_error("traveller: the template is broken: " + page.error_message());
  auto d = filled(traveller);
  d.set("style", std::string(page_style()));
  d.set("script", std::string(page_script()));
  if (!traveller.glb.empty()) d.set("viewer", std::string(page_viewer()));
  return page.render(d);
}

} // namespace chamber::papers
