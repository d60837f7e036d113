#pragma once
// All quantities the fit watches, for doubles and for autodiff scalars alike.
#include "chamber/profile/integrals.hpp"
#include "chamber/solve/fit.hpp"
#include <Eigen/Core>
#include <unsupported/Eigen/AutoDiff>

namespace chamber::solve {

using Gradient = Eigen::Matrix<double, shapes::dimension_count, 1>;
using Dual = Eigen::AutoDiffScalar<Gradient>;

/// One inequality: value >= bound (minimum) or value <= bound.
template <class T>
struct Limit {
  std::string_view name, key, unit;
  T value{};
  double bound = 0;
  bool minimum = true;
  double scale = 1; ///< typical size, for the optimiser
  /// >= 0 when kept, in units of `scale`.
  T margin() const { return T((minimum ? T(value - bound) : T(bound - value)) * (1.0 / scale)); }
};

/// Which limits to work out: walls cost most, so they join only once they turn out to matter.
struct Watch {
  bool velocity = true;
  bool walls = true;
};

template <class T>
struct Evaluation {
  shapes::Chamber<T> chamber;
  T volume_mm3{};
  std::array<Limit<T>, 56> limits{}; // 24 rooms, 6 of the user, walls of 9 groups, and some to spare
  std::size_t count = 0;
  engine::SplitOf<T> split;
  void add(const Limit<T>& l) {
    if (count == limits.size()) throw std::logic_error("Evaluation: too many limits");
    limits[count++] = l;
  }
};

/// A wall between the chamber and one group of outside faces.
struct Wall {
  std::string_view name;
  double distance_mm = 0;
  std::size_t chamber_segment = 0;
  profile::P on_chamber, on_body;
  bool moves_with_roof = false;
};
/// Smallest wall to each group of outside faces ("outside", "plug seat", every groove by its name).
std::vector<Wall> walls(const Task& task, const shapes::Chamber<double>& chamber);
/// The same for any profile from rim to axis.
std::vector<Wall> walls(const shapes::BodySpec& body, const shapes::Plug& plug, profile::ChainView chain);

template <class T>
Evaluation<T> evaluate(const Task& task, const shapes::Dimensions<T>& d, Watch watch);
extern template Evaluation<double> evaluate(const Task&, const shapes::Dimensions<double>&, Watch);
extern template Evaluation<Dual> evaluate(const Task&, const shapes::Dimensions<Dual>&, Watch);

/// Dimensions as independent variables.
shapes::Dimensions<Dual> seeded(const shapes::Dimensions<double>& d);

} // namespace chamber::solve
