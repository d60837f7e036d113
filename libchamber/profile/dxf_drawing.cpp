#include "chamber/profile/dxf_drawing.hpp"
#include "chamber/profile/dxf_entity.hpp"
#include "chamber/profile/proposed_detail.hpp"
#include "chamber/profile/table.hpp"
#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <set>

namespace chamber::profile::detail {
namespace {

constexpr std::size_t most_segments = 100'000;
constexpr int deepest_block = 8;
constexpr double furthest = 1000 * most_mm; ///< of a coordinate, whatever its unit

struct Tag {
  int code = 0, line = 0;
  std::string_view value;
};

struct Block {
  P base{0, 0};
  std::vector<Entity> entities;
};
struct Layer {
  bool hidden = false;
  std::string line_type;
};

std::string_view trimmed(std::string_view s) {
  while (!s.empty() && (s.front() == ' ' || s.front() == '\t')) s.remove_prefix(1);
  while (!s.empty() && (s.back() == ' ' || s.back() == '\t')) s.remove_suffix(1);
  return s;
}

bool wanted_number(int c) {
  return (c >= 10 && c <= 11) || (c >= 20 && c <= 21) || (c >= 30 && c <= 31) || (c >= 40 && c <= 42) || c == 50 ||
         c == 51 || c == 62 || c == 70 || c == 71 || c == 210 || c == 220 || c == 230;
}

/// Numbers have a limit of their own; blocks in blocks scale them past it.
bool within_reach(const S& s) {
  const auto near = [](const P& p) { return std::max(std::abs(p.r), std::abs(p.z)) <= furthest; };
  return near(s.start) && near(s.end) && (!s.is_arc() || std::isfinite(s.radius));
}

bool is_centre(std::string_view line_type) {
  return line_type.starts_with("CENTER") || line_type.starts_with("Center") || line_type.starts_with("center");
}

class DrawingReader {
public:
  explicit DrawingReader(std::istream& in) : lines_(in) {}

  Result<Drawing> run() {
    Tag t;
    for (;;) {
      const auto more = next(t);
      if (!more) return tl::unexpected(more.error());
      if (!*more) break;
      if (const auto p = take(t)) return tl::unexpected(*p);
      if (out_.complete) break;
    }
    if (const auto p = close_entity()) return tl::unexpected(*p);
    if (!seen_section_) return refuse("there is no section in it: this is no DXF.", "export the drawing as ASCII DXF.");
    if (!section_.empty()) return refuse("the file is cut short.", "export or copy it again.");
    for (const auto& e : model_)
      if (const auto p = lay_open(e, {}, 0, e.layer)) return tl::unexpected(*p);
    out_.hidden.assign(hidden_.begin(), hidden_.end());
    return std::move(out_);
  }

private:
  tl::unexpected<Problem> refuse(std::string message, std::string cure) const {
    return tl::unexpected(Problem{{"", lines_.number(), 0}, std::move(message), std::move(cure)});
  }

  Result<bool> next(Tag& t) {
    std::string_view line;
    switch (lines_.next(line)) {
    case Lines::Next::end:
      return false;
    case Lines::Next::binary:
      return refuse("there are bytes in it that no ASCII DXF has.", "save as ASCII DXF (R12 to 2018).");
    case Lines::Next::too_long:
      return refuse("the line is longer than any of a DXF.", "export the drawing as ASCII DXF.");
    case Lines::Next::line:
      break;
    }
    if (lines_.number() == 1)
      if (const auto kind = other_kind(line); !kind.empty())
        return refuse(fmt::format("this is {}.", kind), "save as ASCII DXF (R12 to 2018).");
    line = trimmed(line);
    const auto [end, error] = std::from_chars(line.data(), line.data() + line.size(), t.code);
    if (error != std::errc{} || end != line.data() + line.size() || t.code < -5 || t.code > 1071) {
      // A blank line may end the file.
      if (line.empty() && lines_.next(line) == Lines::Next::end) return false;
      return refuse("a group code should stand here.", seen_section_ ? "the file is damaged: export it again."
                                                                     : "is it an ASCII DXF? Export the drawing again.");
    }
    if (lines_.next(line) != Lines::Next::line) return refuse("the file is cut short.", "export or copy it again.");
    t.value = trimmed(line);
    t.line = lines_.number();
    return true;
  }

  std::optional<Problem> take(const Tag& t) {
    if (t.code == 999) return std::nullopt; // a comment
    if (t.code == 0) {
      if (auto p = close_entity()) return p;
      return begin(t);
    }
    if (naming_section_ && t.code == 2) {
      section_ = t.value;
      naming_section_ = false;
      return std::nullopt;
    }
    if (section_ == "HEADER") return header(t);
    if (open_) return group(t);
    return std::nullopt;
  }

  std::optional<Problem> begin(const Tag& t) {
    if (t.value == "SECTION") {
      naming_section_ = seen_section_ = true;
      return std::nullopt;
    }
    if (t.value == "EOF") {
      out_.complete = true;
      return std::nullopt;
    }
    if (t.value == "ENDSEC") {
      section_.clear();
      return std::nullopt;
    }
    if (!seen_section_)
      return refuse("there is no section before this: this is no DXF.", "export as ASCII DXF.").value();
    if (section_ != "ENTITIES" && section_ != "BLOCKS" && section_ != "TABLES") return std::nullopt;
    open_ = true;
    entity_ = Entity{};
    entity_.type = t.value;
    entity_.line = t.line;
    return std::nullopt;
  }

  std::optional<Problem> header(const Tag& t) {
    if (t.code == 9) variable_ = t.value;
    double x = 0;
    if (t.code != 70 || !read_number(t.value, false, x) || std::abs(x) > 100) return std::nullopt;
    if (variable_ == "$INSUNITS") out_.units = static_cast<int>(x);
    if (variable_ == "$MEASUREMENT") out_.measurement = static_cast<int>(x);
    return std::nullopt;
  }

  std::optional<Problem> group(const Tag& t) {
    if (t.code == 8) entity_.layer = t.value;
    if (t.code == 6) entity_.line_type = t.value;
    if (t.code == 2) entity_.name = t.value;
    if (t.code == 67) entity_.paper = t.value == "1";
    if (!wanted_number(t.code) || !(draws(entity_.type) || entity_.type == "VERTEX" || entity_.type == "INSERT" ||
                                    entity_.type == "BLOCK" || entity_.type == "LAYER"))
      return std::nullopt;
    double x = 0;
    if (!read_number(t.value, false, x) || !std::isfinite(x) || std::abs(x) > furthest)
      return Problem{{"", t.line, 0},
                     fmt::format("\"{}\" is no number a drawing can have here.", t.value.substr(0, 30)),
                     "the file is damaged: export it again."};
    if (entity_.groups.size() > 8 * most_segments) return too_large();
    entity_.groups.push_back({t.code, x, t.line});
    return std::nullopt;
  }

  std::optional<Problem> too_large() const {
    return refuse(fmt::format("there are more than {} lines and arcs in it.", most_segments),
                  "keep only the profile in the drawing.")
        .value();
  }

  std::optional<Problem> close_entity() {
    if (!open_) return std::nullopt;
    open_ = false;
    if (section_ == "TABLES") {
      if (entity_.type == "LAYER")
        layers_[entity_.name] = {entity_.number(62, 7) < 0 || (static_cast<int>(entity_.number(70, 0)) & 1),
                                 entity_.line_type};
      return std::nullopt;
    }
    if (entity_.type == "BLOCK") {
      block_ = &blocks_[entity_.name];
      *block_ = Block{{entity_.number(10, 0), entity_.number(20, 0)}, {}};
      return std::nullopt;
    }
    if (entity_.type == "ENDBLK") {
      block_ = nullptr;
      return std::nullopt;
    }
    auto& into = block_ ? block_->entities : model_;
    if (entity_.type == "VERTEX") {
      if (into.empty() || into.back().type != "POLYLINE")
        return Problem{
            {"", entity_.line, 0}, "a VERTEX belongs to no POLYLINE.", "the file is damaged: export it again."};
      into.back().vertices.push_back(std::move(entity_.groups));
    } else if (draws(entity_.type) || entity_.type == "INSERT" || !cure_for(entity_.type).empty()) {
      if (!entity_.paper) into.push_back(std::move(entity_));
    } else {
      return std::nullopt;
    }
    if (++stored_ > 2 * most_segments) return too_large();
    return std::nullopt;
  }

  bool shown(const std::string& layer) {
    const auto it = layers_.find(layer);
    if (it == layers_.end() || !it->second.hidden) return true;
    hidden_.insert(layer);
    return false;
  }

  /// `outer`: the layer of the outermost INSERT, which what lies on layer 0 of a block belongs to.
  std::optional<Problem> lay_open(const Entity& e, const Placement& by, int depth, const std::string& outer) {
    const auto& layer = depth > 0 && e.layer == "0" ? outer : e.layer;
    if (!shown(layer)) return std::nullopt;
    if (++opened_ > 2 * static_cast<long>(most_segments)) return too_large();
    if (e.type == "INSERT") return insert(e, by, depth, layer);
    if (!draws(e.type)) {
      out_.unusable.push_back({e.type, std::string(cure_for(e.type)), layer, e.line});
      return std::nullopt;
    }
    auto chain = chain_of(e);
    if (!chain) {
      out_.unusable.push_back({chain.error().message, chain.error().cure, layer, e.line});
      return std::nullopt;
    }
    if (chain->empty()) return std::nullopt;
    segments_ += chain->size();
    if (segments_ > most_segments) return too_large();
    Piece piece{{}, layer, false, e.line};
    for (const auto& s : *chain) piece.chain.push_back(placed(s, by));
    if (!std::all_of(piece.chain.begin(), piece.chain.end(), within_reach)) {
      out_.unusable.push_back({fmt::format("the {} lies further out than any drawing reaches.", e.type),
                               "explode its block, and check by how much it is scaled.", layer, e.line});
      return std::nullopt;
    }
    const auto it = layers_.find(e.layer);
    piece.centre_line = is_centre(e.line_type) || ((e.line_type.empty() || e.line_type == "BYLAYER") &&
                                                   it != layers_.end() && is_centre(it->second.line_type));
    out_.pieces.push_back(std::move(piece));
    return std::nullopt;
  }

  std::optional<Problem> insert(const Entity& e, const Placement& by, int depth, const std::string& layer) {
    const auto it = blocks_.find(e.name);
    if (it == blocks_.end() || it->second.entities.empty()) return std::nullopt;
    const auto place = placement_of(e, it->second.base);
    if (!place || depth >= deepest_block) {
      out_.unusable.push_back(
          {place ? "the INSERT goes round in circles." : place.error().message, "explode the block.", layer, e.line});
      return std::nullopt;
    }
    for (const auto& inner : it->second.entities)
      if (auto p = lay_open(inner, by.after(*place), depth + 1, layer)) return p;
    return std::nullopt;
  }

  Lines lines_;
  Drawing out_;
  std::map<std::string, Layer> layers_;
  std::map<std::string, Block> blocks_;
  std::vector<Entity> model_;
  std::set<std::string> hidden_;
  Block* block_ = nullptr;
  Entity entity_;
  std::string section_, variable_;
  bool open_ = false, naming_section_ = false, seen_section_ = false;
  std::size_t segments_ = 0, stored_ = 0;
  long opened_ = 0;
};

} // namespace

Result<Drawing> read_drawing(std::istream& in) {
  return DrawingReader(in).run();
}

} // namespace chamber::profile::detail
