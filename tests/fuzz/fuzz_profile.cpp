// Points and DXF. The length of the input chooses what the caller says besides.
#include "chamber/job/check_read.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/shapes/features.hpp"
#include "chamber/units/printable.hpp"
#include "target.hpp"
#include <fstream>
#include <sstream>

namespace chamber::fuzz {
namespace {

using namespace profile;

ProposedOptions options_by(std::size_t n) {
  ProposedOptions o;
  if (n % 2 == 1) o.bore_radius_mm = 33.2;
  if (n % 8 == 6) o.unit = n % 16 == 6 ? LengthUnit::millimetre : LengthUnit::inch;
  if (n % 16 == 4) o.roof_mm = 17.4;
  if (n % 16 == 12) o.axis_at_mm = 0, o.axis = TurningAxis::vertical;
  if (n % 32 == 8) o.across = Across::diameter, o.depth = Depth::down, o.face = Face::zero;
  return o;
}

void check_refused(const std::vector<Problem>& problems, const std::string& file) {
  promise(problems.size() == 1, "a drawing is refused with one problem");
  check_problem(problems[0], true);
  promise(problems[0].place.file == file && problems[0].place.line >= 0, "a problem without its place");
  promise(problems[0].message.size() <= 20000, "a problem of endless words");
}

/// Written and read again, everything said that a reader would guess: the same volume.
template <class Read>
void check_again(ChainView chain, const std::string& text, double error_mm, Read read) {
  std::istringstream in(text);
  ProposedOptions o;
  o.unit = LengthUnit::millimetre;
  o.across = Across::radius;
  o.depth = Depth::up;
  o.face = Face::zero;
  o.axis = TurningAxis::vertical;
  o.axis_at_mm = 0;
  const auto again = read(in, "again", o);
  promise(again.has_value(), "what was written is refused: " + (again ? "" : again.error()[0].message));
  double way = 0, out = 0;
  for (const auto& s : chain) way += arc_length(s), out = std::max({out, std::abs(s.start.r), std::abs(s.end.r)});
  const double allowed = error_mm * 2 * 3.1416 * out * (way + out);
  promise(std::abs(swept_volume(ChainView(again->chain)) - swept_volume(chain)) <= allowed,
          "not the same volume when written and read again");
}

/// A profile that is not finer or larger than what the writers are for.
bool ordinary(ChainView chain) {
  if (chain.size() < 3 || chain.size() > 60) return false;
  for (const auto& s : chain) {
    if (arc_length(s) < 0.5 || (s.is_arc() && s.radius > 1000)) return false;
    for (const auto& p : {s.start, s.end})
      if (p.r < 0 || p.z < 0 || p.r > 200 || p.z > 200) return false;
  }
  return chain.front().start.r > 15 && std::abs(chain.back().end.r) < 1e-9;
}

} // namespace

void points(std::string_view bytes) {
  std::istringstream in{std::string(bytes)};
  const auto p = read_points(in, "p.csv", options_by(bytes.size()));
  if (!p) return check_refused(p.error(), "p.csv");
  check_profile(p->chain);
  promise(p->chain.size() < most_kept_points + 2, "more points than are kept");
  if (!ordinary(p->chain)) return;
  PointsStyle style;
  style.chord_error_mm = 0.01;
  check_again(p->chain, write_points(p->chain, style), 0.02, read_points);
}

/// What `check` makes of a table of points on the motor of one of the demonstrations.
void judge(std::string_view bytes) {
  std::istringstream in{std::string(bytes)};
  auto o = options_by(bytes.size());
  static const auto motor = [] {
    std::ifstream file(CHAMBER_TEST_FILES "/fuzz/seeds/spec/demo.toml");
    std::ostringstream text;
    text << file.rdbuf();
    return job::read_spec(text.str(), CHAMBER_TEST_FILES "/fuzz/seeds/lathe/spec.toml");
  }();
  promise(motor.has_value(), "the motor does not read");
  if (o.bore_radius_mm) o.bore_radius_mm = motor->bore_mm / 2;
  const auto p = read_points(in, "p.csv", o);
  if (!p || p->chain.size() > 200) return;
  const auto calm = job::without_jitter(p->chain, o.bore_radius_mm.value_or(0));
  const auto f = shapes::features(calm, o.bore_radius_mm.value_or(0));
  for (const double x : {f.rim_radius_mm, f.depth_mm, f.roof_z_mm, f.roof_radius_mm, f.pocket_radius_mm})
    check_finite(x, "a feature");
  promise(f.band || !f.no_band.empty(), "no band, and no reason");
  if (f.band)
    for (const double x : {f.band->width_mm, f.band->angle_deg, f.band->edge_height, f.band->mouth.r, f.band->mouth.z})
      check_finite(x, "a band's figure");
  const auto a = solve::appraise(calm, motor->task);
  for (const auto& c : a.checks) {
    check_finite(c.value, "a check's value");
    promise(!c.name.empty(), "a check without a name");
  }
  for (const auto* words : {&a.cautions, &a.withheld})
    for (const auto& w : *words) promise(!w.empty() && printable(w) == w, "words no terminal should be given");
}

void dxf(std::string_view bytes) {
  std::istringstream in{std::string(bytes)};
  const auto p = read_dxf(in, "d.dxf", options_by(bytes.size()));
  if (!p) return check_refused(p.error(), "d.dxf");
  check_profile(p->chain);
  if (!ordinary(p->chain)) return;
  DxfStyle style;
  style.bulges = bytes.size() % 3 != 0;
  check_again(p->chain, write_dxf(p->chain, style), 0.02, read_dxf);
}

} // namespace chamber::fuzz
