#include "chamber/profile/thinner.hpp"

namespace chamber::profile::detail {

void Thinner::commit(const P& p, int line) {
  points_.push_back(p);
  lines_.push_back(line);
  has_candidate_ = false;
}

/// True when a line from the last kept point along d passes all points since within tolerance, and does not turn back.
bool Thinner::follows(const P& d, double far) const {
  if (far < reach_ - tolerance_) return false;
  return !has_wedge_ || (cross(low_, d) >= 0 && cross(d, high_) >= 0);
}

void Thinner::narrow(const P& d, double far) {
  reach_ = std::max(reach_, far);
  if (far <= tolerance_) return; // any line from there passes it
  const double sine = tolerance_ / far, cosine = std::sqrt(1 - sine * sine);
  const P u = d * (1 / far), side = left_of(u) * sine;
  const P low = u * cosine - side, high = u * cosine + side;
  if (!has_wedge_ || cross(low_, low) > 0) low_ = low;
  if (!has_wedge_ || cross(high, high_) > 0) high_ = high;
  has_wedge_ = true;
}

void Thinner::feed(const P& p, int line) {
  if (points_.empty()) return commit(p, line);
  const P last = has_candidate_ ? candidate_ : points_.back();
  if (p.r == last.r && p.z == last.z) {
    ++doubled_;
    return;
  }
  if (has_candidate_ && !follows(p - points_.back(), length(p - points_.back()))) commit(candidate_, candidate_line_);
  if (has_candidate_)
    off_line_ = std::max(off_line_, tolerance_);
  else
    reach_ = 0, has_wedge_ = false;
  const P d = p - points_.back();
  narrow(d, length(d));
  candidate_ = p;
  candidate_line_ = line;
  has_candidate_ = true;
}

bool Thinner::widen() {
  while (points_.size() > most_ / 2) {
    if (tolerance_ >= widest_) return points_.size() <= most_;
    const double before = off_line_;
    tolerance_ *= 4;
    auto points = std::move(points_);
    auto lines = std::move(lines_);
    points.push_back(candidate_);
    lines.push_back(candidate_line_);
    if (!has_candidate_) points.pop_back(), lines.pop_back();
    points_.clear();
    lines_.clear();
    has_candidate_ = false;
    for (std::size_t i = 0; i < points.size(); ++i) feed(points[i], lines[i]);
    off_line_ = before + tolerance_;
  }
  return true;
}

bool Thinner::add(const P& p, int line) {
  ++taken_;
  feed(p, line);
  return points_.size() <= most_ || widen();
}

void Thinner::finish() {
  if (has_candidate_) commit(candidate_, candidate_line_);
}

} // namespace chamber::profile::detail
