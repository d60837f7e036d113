// Volume of the cavity that the strokes cut, plug fitted.
#include "chamber/turning/prove_detail.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <array>
#include <cmath>

namespace chamber::turning::detail {

using namespace sweep;

namespace {

/// Integral of the cut's depth over the face, by adaptive Gauss-Kronrod between the columns where it may have corners.
class Cavity {
public:
  Cavity(const Sweep& sweep, const Work& work, const std::vector<int>& owners, double through_radius)
      : hole_(std::max(work.plug_hole_radius_mm, work.thread.minor_high_mm / 2)), through_(through_radius),
        face_(work.chamber.front().start.z), roof_(work.chamber.back().end.z), clamping_(sweep.run->clamping),
        back_(sweep.run->clamping.length_mm - sweep.run->clamping.front_mm) {
    // Where the outside is turned too, what lies beyond the rim is no cavity.
    const double end = work.outside.empty() ? sweep.run->clamping.diameter_mm / 2 : work.chamber.front().start.r;
    std::vector<int> unique = owners;
    std::sort(unique.begin(), unique.end());
    unique.erase(std::unique(unique.begin(), unique.end()), unique.end());
    for (const int i : unique)
      if (i >= 0) add_corners(sweep, sweep.strokes[static_cast<std::size_t>(i)]);
    for (auto k = sweep.strokes.rbegin(); k != sweep.strokes.rend(); ++k)
      if (!k->rapid() && k->cut.z_max > 0) strokes_.push_back({&sweep.of(*k), &*k});
    if (!clamping_.standing.empty()) face_ = face_cut(end);
    for (const auto& [s, k] : strokes_)
      if (s->cutter == Cutter::drill) columns_.push_back(s->tool->diameter_mm / 2);
    columns_.insert(columns_.end(), {0.0, hole_, through_, end});
    for (const auto& s : clamping_.standing) columns_.insert(columns_.end(), {s.start.r, s.end.r});
    std::sort(columns_.begin(), columns_.end());
    columns_.erase(std::unique(columns_.begin(), columns_.end(), [](double a, double b) { return b - a < 1e-9; }),
                   columns_.end());
    std::erase_if(columns_, [&](double r) { return r < 0 || r > end; });
  }

  /// mm3, and a bound on its error.
  std::array<double, 2> volume() {
    std::array<double, 2> sum{0, 0};
    for (std::size_t i = 0; i + 1 < columns_.size(); ++i) {
      near_.clear();
      for (const auto& item : strokes_)
        if (reaches(item.stroke->cut, columns_[i], columns_[i + 1])) near_.push_back(item);
      if (near_.empty() && columns_[i + 1] > through_ && clamping_.standing.empty()) continue;
      add(columns_[i], columns_[i + 1], 0, sum);
    }
    return sum;
  }

private:
  struct Item {
    const Silhouette* silhouette;
    const Stroke* stroke;
  };

  /// Where the sealing face of a finished piece really lies, just outside the rim: the cavity ends there, not where it
  /// is drawn.
  double face_cut(double rim) const {
    constexpr double beside_mm = 0.02;
    double face = standing_at(clamping_, rim + beside_mm);
    for (const auto& [s, k] : strokes_) face = std::max(face, cut_top(*s, *k, rim + beside_mm));
    return face;
  }

  void add_corners(const Sweep& sweep, const Stroke& k) {
    const Silhouette& s = sweep.of(k);
    if (s.cutter == Cutter::axial_blade)
      columns_.insert(columns_.end(), {k.cut.r_min, k.cut.r_min + s.nose, k.cut.r_max - s.nose, k.cut.r_max});
    else if (s.side > 0)
      corners_of(k.path, s.nose, columns_);
    else
      corners_of(across(k.path), s.nose, columns_);
  }

  static bool reaches(const Box& b, double low, double high) {
    return (b.r_min <= high && b.r_max >= low) || (b.r_min <= -low && b.r_max >= -high);
  }

  double depth(double r) const {
    double top = r < through_ ? roof_ : clamping_.standing.empty() ? 0.0 : standing_at(clamping_, r);
    for (const auto& [s, k] : near_)
      if (k->cut.z_max > top) top = std::max(top, cut_top(*s, *k, r));
    return std::max(0.0, std::min(top, r < hole_ ? roof_ : back_) - face_);
  }

  void add(double a, double b, int level, std::array<double, 2>& sum) const {
    // 7-point Gauss in 15-point Kronrod (QUADPACK), after r = a + (b - a)(3 t^2 - 2 t^3), which tames the upright
    // tangents at the nose's sides.
    constexpr double x[8] = {0.991455371120812639206854697526329, 0.949107912342758524526189684047851,
                             0.864864423359769072789712788640926, 0.741531185599394439863864773280788,
                             0.586087235467691130294144691693013, 0.405845151377397166906606412076961,
                             0.207784955007898467600689403773245, 0.0};
    constexpr double wk[8] = {0.022935322010529224963732008058970, 0.063092092629978553290700663189204,
                              0.104790010322250183839876322541518, 0.140653259715525918745189590510238,
                              0.169004726639267902826583426598550, 0.190350578064785409913256402421014,
                              0.204432940075298892414161999234649, 0.209482141084727828012999174891714};
    constexpr double wg[4] = {0.129484966168869693270611432679082, 0.279705391489276667901467771423780,
                              0.381830050505118944950369775488975, 0.417959183673469387755102040816327};
    const auto value = [&](double u) {
      const double t = 0.5 + 0.5 * u;
      const double r = a + (b - a) * t * t * (3 - 2 * t);
      return depth(r) * 2 * units::pi * r * (b - a) * 6 * t * (1 - t) * 0.5;
    };
    double kronrod = 0, gauss = 0;
    for (int i = 0; i < 8; ++i) {
      const double f = i == 7 ? value(0) : value(x[i]) + value(-x[i]);
      kronrod += wk[i] * f;
      if (i % 2 == 1) gauss += wg[i / 2] * f;
    }
    const double error = std::abs(kronrod - gauss);
    constexpr double wanted_mm3 = 1e-3;
    if (error > wanted_mm3 && level < 12) {
      add(a, (a + b) / 2, level + 1, sum);
      add((a + b) / 2, b, level + 1, sum);
      return;
    }
    sum[0] += kronrod;
    sum[1] += error;
  }

  double hole_; ///< what the plug closes at the roof, the tap drill's upper limit
  double through_;
  double face_, roof_; ///< where the cavity begins and ends
  const Clamping& clamping_;
  double back_;
  std::vector<double> columns_;
  std::vector<Item> strokes_, near_;
};

} // namespace

void measure_cavity(const Sweep& sweep, const Work& work, const std::vector<int>& owners, double through_radius,
                    Proof& proof) {
  const auto volume = Cavity(sweep, work, owners, through_radius).volume();
  proof.volume_left_cc = volume[0] / 1000;
  proof.volume_error_cc = volume[1] / 1000;
}

} // namespace chamber::turning::detail
