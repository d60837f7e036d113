// The volume's gradient by automatic differentiation against central differences, in every family.
#include "samples.hpp"
#include <Eigen/Core>
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>
#include <unsupported/Eigen/AutoDiff>

using namespace chamber::shapes;
using namespace chamber::shapes::testing;
namespace profile = chamber::profile;

namespace {

using Dual = Eigen::AutoDiffScalar<Eigen::Matrix<double, static_cast<int>(dimension_count), 1>>;

Chamber<Dual> dual_chamber(const Sample& s) {
  Dimensions<Dual> d;
  for (std::size_t i = 0; i < dimension_count; ++i)
    at(d, i) = Dual(at(s.dimensions, i), static_cast<int>(dimension_count), static_cast<int>(i));
  return build(s.frame, d);
}

Dual dual_volume(const Sample& s) {
  const auto c = dual_chamber(s);
  return profile::swept_volume(std::span<const profile::Segment<Dual>>(c.chain));
}

/// Richardson's combination of two central differences: error of fourth order in the step.
template <class F>
double slope(const Sample& s, std::size_t i, F value) {
  const auto central = [&](double h) {
    Sample up = s, down = s;
    at(up.dimensions, i) += h;
    at(down.dimensions, i) -= h;
    return (value(up) - value(down)) / (2 * h);
  };
  return (4 * central(1e-4) - central(2e-4)) / 3;
}

} // namespace

TEST_CASE("the volume with a gradient is the volume") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      const auto s = feasible(family);
      RC_ASSERT(std::abs(dual_volume(s).value() - volume(s)) <= 1e-12 * std::abs(volume(s)));
    });
}

TEST_CASE("the gradient is that of central differences") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      const auto s = feasible(family);
      if (room(s) < 1e-3) return; // a difference would step over the edge
      const auto v = dual_volume(s);
      for (std::size_t i = 0; i < dimension_count; ++i) {
        const double numeric = slope(s, i, [](const Sample& t) { return volume(t); });
        RC_LOG() << dimension_names[i] << ": " << v.derivatives()[static_cast<int>(i)] << " against " << numeric
                 << "\n";
        RC_ASSERT(std::abs(v.derivatives()[static_cast<int>(i)] - numeric) <= 1e-5 * (1 + std::abs(numeric)));
      }
    });
}

TEST_CASE("so are the gradients of every room") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      const auto s = feasible(family);
      if (room(s) < 1e-3) return;
      const auto c = dual_chamber(s);
      for (std::size_t k = 0; k < c.room_count; ++k)
        for (std::size_t i = 0; i < dimension_count; ++i) {
          const double numeric =
              slope(s, i, [k](const Sample& t) { return build(t.frame, t.dimensions).rooms[k].room; });
          const double exact = c.rooms[k].room.derivatives()[static_cast<int>(i)];
          RC_LOG() << c.rooms[k].what << ", " << dimension_names[i] << ": " << exact << " against " << numeric << "\n";
          RC_ASSERT(std::abs(exact - numeric) <= 1e-4 * (1 + std::abs(numeric)));
        }
    });
}

TEST_CASE("a dimension the family does not have moves nothing") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      const auto v = dual_volume(feasible(family));
      for (std::size_t i = 0; i < dimension_count; ++i)
        if (!has_dimension(family, i)) RC_ASSERT(v.derivatives()[static_cast<int>(i)] == 0.0);
    });
  CHECK_FALSE(has_dimension(Family::spherical, 1));
  CHECK(has_dimension(Family::toroidal, 1));
}
