#include "chamber/turning/sweep.hpp"
#include <cmath>

namespace chamber::turning::sweep {

using profile::Kind;

namespace {

constexpr double turn = 6.283185307179586;

bool is_line(const Path& p) {
  return p.kind == Kind::line;
}

/// Angle from the arc's start to its end along its sense, 0 to a turn.
double swept_angle(const Path& a) {
  const P u = a.from - a.centre, v = a.to - a.centre;
  double angle = std::atan2(u.r * v.z - u.z * v.r, u.r * v.r + u.z * v.z);
  if (a.kind == Kind::cw) angle = -angle;
  return angle < 0 ? angle + turn : angle;
}

/// Whether the ray from the centre through q meets the arc, `slack` mm beyond its ends included; cross products only.
bool covers(const Path& a, const P& q, double slack = 0) {
  const P u = a.from - a.centre, v = a.to - a.centre, w = q - a.centre;
  const double sense = a.kind == Kind::ccw ? 1.0 : -1.0;
  const double uv = sense * (u.r * v.z - u.z * v.r);
  const double uw = sense * (u.r * w.z - u.z * w.r);
  const double wv = sense * (w.r * v.z - w.z * v.r);
  const double room = slack > 0 ? -slack * std::hypot(w.r, w.z) : 0;
  return uv >= 0 ? uw >= room && wv >= room : uw >= room || wv >= room;
}

/// mm. A written arc's ends lie off its mean radius by up to its mismatch: tops look that far past them, lest a column
/// fall between the arc and the disc at its end.
constexpr double end_slack = 2e-3;

void raise(double& top, double z) {
  if (z > top) top = z;
}

void raise_by_disc(double& top, const P& c, double rho, double r) {
  const double x = r - c.r, y2 = rho * rho - x * x;
  if (y2 >= 0) raise(top, c.z + std::sqrt(y2));
}

/// Every point changed by a reflection, which turns the sense of arcs.
template <class F>
Path reflected(Path p, F change) {
  for (P* q : {&p.from, &p.to, &p.centre}) *q = change(*q);
  if (p.kind != Kind::line) p.kind = p.kind == Kind::ccw ? Kind::cw : Kind::ccw;
  return p;
}

} // namespace

Path across(Path p) {
  return reflected(p, [](const P& q) { return P{-q.r, q.z}; });
}
Path turned_round(Path p, double height) {
  return reflected(p, [&](const P& q) { return P{q.r, height - q.z}; });
}
Path transposed(Path p) {
  return reflected(p, [](const P& q) { return P{q.z, q.r}; });
}

double disc_top(const Path& p, double rho, double r) {
  double top = nowhere;
  raise_by_disc(top, p.from, rho, r);
  raise_by_disc(top, p.to, rho, r);
  if (is_line(p)) {
    const P d = p.to - p.from;
    const double length = std::hypot(d.r, d.z);
    if (std::abs(d.r) < 1e-12) return top; // straight up or down: its ends say it all
    const double up = d.r > 0 ? 1.0 : -1.0;
    const P n{-d.z / length * up, d.r / length * up};
    const double u = (r - p.from.r - rho * n.r) / d.r;
    if (u >= 0 && u <= 1) raise(top, p.from.z + rho * n.z + u * d.z);
    return top;
  }
  // The top point of the disc lies on the arc's normal: outside the arc above its centre, inside it below.
  const double x = r - p.centre.r;
  for (const double radius : {p.radius + rho, p.radius - rho}) {
    const double y2 = radius * radius - x * x;
    if (y2 < 0) continue;
    for (const double y : {std::sqrt(y2), -std::sqrt(y2)}) {
      // q on the disc; its path point lies on the same ray, or on the opposite one where the disc reaches over the
      // centre.
      const P q{r, p.centre.z + y};
      const P on = radius >= 0 ? q : P{2 * p.centre.r - q.r, 2 * p.centre.z - q.z};
      if (radius != 0 && covers(p, on, end_slack)) raise(top, q.z);
    }
  }
  return top;
}

double disc_bottom(const Path& p, double rho, double r) {
  return -disc_top(turned_round(p, 0), rho, r);
}

double edge_top(const Path& p, const Edge& e, double r) {
  // The reference point must stand between u0 and u1 for the edge to cover the column.
  const double u0 = r - e.dr, u1 = u0 + e.width;
  double top = nowhere;
  const auto try_at = [&](const P& c) {
    if (c.r >= u0 - 1e-9 && c.r <= u1 + 1e-9) raise(top, c.z + e.dz - (c.r - u0) * e.slope);
  };
  try_at(p.from);
  try_at(p.to);
  if (is_line(p)) {
    const double dr = p.to.r - p.from.r;
    if (std::abs(dr) < 1e-12) return top;
    for (const double u : {u0, u1}) {
      const double t = (u - p.from.r) / dr;
      if (t > 0 && t < 1) try_at({u, p.from.z + t * (p.to.z - p.from.z)});
    }
    return top;
  }
  for (const double u : {u0, u1}) {
    const double x = u - p.centre.r, y2 = p.radius * p.radius - x * x;
    if (y2 < -2 * p.radius * end_slack) continue;
    const double root = std::sqrt(std::max(0.0, y2));
    for (const double y : {root, -root}) {
      const P c{u, p.centre.z + y};
      if (covers(p, c, end_slack)) try_at(c);
    }
  }
  // Where the arc runs parallel to the edge.
  const double k = p.radius / std::sqrt(1 + e.slope * e.slope);
  for (const double s : {k, -k}) {
    const P c{p.centre.r - s * e.slope, p.centre.z + s};
    if (covers(p, c, end_slack)) try_at(c);
  }
  return top;
}

Box box_of(const Path& p) {
  Box b{std::min(p.from.r, p.to.r), std::max(p.from.r, p.to.r), std::min(p.from.z, p.to.z), std::max(p.from.z, p.to.z)};
  if (is_line(p)) return b;
  for (const P d : {P{1, 0}, P{-1, 0}, P{0, 1}, P{0, -1}}) {
    const P q = p.centre + d * p.radius;
    if (!covers(p, q)) continue;
    b = {std::min(b.r_min, q.r), std::max(b.r_max, q.r), std::min(b.z_min, q.z), std::max(b.z_max, q.z)};
  }
  return b;
}

double length_of(const Path& p) {
  return is_line(p) ? std::hypot(p.to.r - p.from.r, p.to.z - p.from.z) : p.radius * swept_angle(p);
}

void corners_of(const Path& p, double rho, std::vector<double>& columns) {
  for (const P& end : {p.from, p.to}) {
    columns.insert(columns.end(), {end.r - rho, end.r, end.r + rho});
    if (is_line(p)) {
      const double length = length_of(p);
      if (length > 0) {
        const double n = (p.to.z - p.from.z) / length * rho;
        columns.insert(columns.end(), {end.r - n, end.r + n});
      }
    } else if (p.radius > 0) {
      const double n = (end.r - p.centre.r) / p.radius * rho;
      columns.insert(columns.end(), {end.r - n, end.r + n});
    }
  }
  if (!is_line(p))
    columns.insert(columns.end(), {p.centre.r - p.radius - rho, p.centre.r + p.radius + rho,
                                   p.centre.r - p.radius + rho, p.centre.r + p.radius - rho});
}

P nearest_on(const Path& path, const P& p) {
  if (is_line(path)) {
    const P d = path.to - path.from;
    const double dd = d.r * d.r + d.z * d.z;
    double t = dd > 0 ? ((p.r - path.from.r) * d.r + (p.z - path.from.z) * d.z) / dd : 0;
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    return path.from + d * t;
  }
  const P w = p - path.centre;
  const double away = std::hypot(w.r, w.z);
  if (away > 0 && covers(path, p)) return path.centre + w * (path.radius / away);
  const double a = std::hypot(p.r - path.from.r, p.z - path.from.z), b = std::hypot(p.r - path.to.r, p.z - path.to.z);
  return a <= b ? path.from : path.to;
}

double distance(const P& p, const Path& path) {
  const P q = nearest_on(path, p);
  return std::hypot(p.r - q.r, p.z - q.z);
}

namespace {

/// Points where the carriers of the two paths meet, if they lie on both: then the distance is 0.
bool cross_each_other(const Path& a, const Path& b) {
  if (is_line(a) && is_line(b)) {
    const P d = a.to - a.from, e = b.to - b.from, w = b.from - a.from;
    const double den = d.r * e.z - d.z * e.r;
    if (std::abs(den) < 1e-15) return false;
    const double t = (w.r * e.z - w.z * e.r) / den, u = (w.r * d.z - w.z * d.r) / den;
    return t >= 0 && t <= 1 && u >= 0 && u <= 1;
  }
  if (!is_line(a) && !is_line(b)) {
    const P d = b.centre - a.centre;
    const double gap = std::hypot(d.r, d.z);
    if (gap < 1e-12) return false;
    const double along = (gap * gap + a.radius * a.radius - b.radius * b.radius) / (2 * gap);
    const double h2 = a.radius * a.radius - along * along;
    if (h2 < 0) return false;
    const P u = d * (1 / gap), mid = a.centre + u * along;
    for (const double h : {std::sqrt(h2), -std::sqrt(h2)}) {
      const P q{mid.r - u.z * h, mid.z + u.r * h};
      if (covers(a, q) && covers(b, q)) return true;
    }
    return false;
  }
  const Path& l = is_line(a) ? a : b;
  const Path& c = is_line(a) ? b : a;
  const P d = l.to - l.from;
  const double length = std::hypot(d.r, d.z);
  if (length == 0) return false;
  const P u = d * (1 / length), w = c.centre - l.from;
  const double t = w.r * u.r + w.z * u.z, off = w.r * u.z - w.z * u.r;
  const double h2 = c.radius * c.radius - off * off;
  if (h2 < 0) return false;
  for (const double h : {std::sqrt(h2), -std::sqrt(h2)})
    if (t + h >= 0 && t + h <= length && covers(c, l.from + u * (t + h))) return true;
  return false;
}

} // namespace

double distance(const Path& a, const Path& b) {
  if (cross_each_other(a, b)) return 0;
  double best =
      std::min(std::min(distance(a.from, b), distance(a.to, b)), std::min(distance(b.from, a), distance(b.to, a)));
  // Elsewhere the shortest link stands square on both, so it runs through the centre of every arc involved.
  const auto along_normal = [&](const Path& arc, const Path& other, const P& direction) {
    const double length = std::hypot(direction.r, direction.z);
    if (length == 0) return;
    for (const double s : {arc.radius / length, -arc.radius / length}) {
      const P q = arc.centre + direction * s;
      if (covers(arc, q)) best = std::min(best, distance(q, other));
    }
  };
  for (const auto& [arc, other] : {std::pair{&a, &b}, std::pair{&b, &a}}) {
    if (is_line(*arc)) continue;
    if (is_line(*other))
      along_normal(*arc, *other, {-(other->to.z - other->from.z), other->to.r - other->from.r});
    else
      along_normal(*arc, *other, other->centre - arc->centre);
  }
  return best;
}

} // namespace chamber::turning::sweep
