#pragma once
#include "chamber/profile/segment.hpp"

namespace chamber::profile::detail {

/// Takes points one by one and keeps those the line cannot do without: every dropped point lies within `tolerance` of
/// the line between the kept ones beside it. Holds at most `most` points; when they do not suffice the tolerance is
/// widened and what is kept thinned again.
class Thinner {
public:
  Thinner(double tolerance, double widest, std::size_t most) : tolerance_(tolerance), widest_(widest), most_(most) {}
  /// False when even the widest tolerance needs more points.
  bool add(const P& p, int line);
  void finish();
  const std::vector<P>& points() const { return points_; }
  const std::vector<int>& lines() const { return lines_; }
  /// How far a dropped point may lie from the line.
  double off_line() const { return off_line_; }
  long doubled() const { return doubled_; }
  long taken() const { return taken_; }

private:
  void feed(const P& p, int line);
  bool follows(const P& d, double far) const;
  void narrow(const P& d, double far);
  void commit(const P& p, int line);
  bool widen();

  double tolerance_, widest_, off_line_ = 0;
  std::size_t most_;
  std::vector<P> points_;
  std::vector<int> lines_;
  // Since the last kept point: a candidate to be the next, how far out the way has led, and the directions between
  // which a line passes all of it within tolerance.
  bool has_candidate_ = false, has_wedge_ = false;
  P candidate_{}, low_{}, high_{};
  int candidate_line_ = 0;
  double reach_ = 0;
  long doubled_ = 0, taken_ = 0;
};

} // namespace chamber::profile::detail
