#include "chamber/solve/libraries.hpp"
#include <Eigen/Core>
#include <algorithm>
#include <boost/version.hpp>
#include <fmt/format.h>
#include <nlopt.h>

namespace chamber::solve {

Libraries libraries() {
  int major = 0, minor = 0, bugfix = 0;
  nlopt_version(&major, &minor, &bugfix);
  std::string boost = BOOST_LIB_VERSION;
  std::replace(boost.begin(), boost.end(), '_', '.');
  return {{"Eigen", fmt::format("{}.{}.{}", EIGEN_WORLD_VERSION, EIGEN_MAJOR_VERSION, EIGEN_MINOR_VERSION)},
          {"NLopt", fmt::format("{}.{}.{}", major, minor, bugfix)},
          {"Boost", boost}};
}

} // namespace chamber::solve
