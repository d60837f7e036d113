#include "chamber/job/filling.hpp"
#include "chamber/job/trim_log.hpp"
#include <algorithm>

namespace chamber::job {
namespace {
constexpr double coverage = 2;
}

double fillings_standard_cc(const Doubts& doubts, std::size_t fillings, double scatter_cc) {
  const double mean = std::max(doubts.head_cc, scatter_cc) / std::sqrt(static_cast<double>(fillings));
  return std::max(mean, std::min(doubts.head_cc, burette_standard_cc));
}

FillRule fill_rule(double standard_cc) {
  FillRule r;
  r.untold_cc = coverage * standard_cc;
  return r;
}

} // namespace chamber::job
