#include "chamber/job/words.hpp"
#include <fmt/format.h>
#include <stdexcept>

namespace chamber::job {

using units::fixed;

std::string Words::figure(double mm, bool fine) const {
  return fixed(lengths(mm), (inch_ ? 3 : 2) + (fine ? 1 : 0));
}

std::string Words::length(double mm, bool fine) const {
  return fmt::format("{} {}", figure(mm, fine), length_unit());
}

namespace {

const units::Unit& unit_or(const units::Unit* unit, units::Dimension dimension, std::string_view symbol) {
  if (unit) return *unit;
  for (const auto& u : units::units_of(dimension))
    if (u.symbol == symbol) return u;
  throw std::logic_error("papers: no such unit");
}

} // namespace

const units::Unit& Words::pressure_unit() const {
  return unit_or(pressure_, units::Dimension::pressure, "psi");
}
const units::Unit& Words::altitude_unit() const {
  return unit_or(altitude_, units::Dimension::length, inch_ ? "ft" : "m");
}
const units::Unit& Words::velocity_unit() const {
  return unit_or(velocity_, units::Dimension::velocity, inch_ ? "ft/s" : "m/s");
}

std::string Words::pressure_figure(double kpa) const {
  const auto& u = pressure_unit();
  const int decimals = u.scale >= 50 ? 1 : 0; // bar and the like
  return fixed(kpa / u.scale, decimals);
}

std::string Words::pressure(double kpa) const {
  return fmt::format("{} {}", pressure_figure(kpa), pressure_unit().symbol);
}

std::string Words::velocity(double m_per_s) const {
  return units::format(m_per_s, velocity_unit(), velocity_unit().scale < 1 ? 0 : 1);
}

std::string Words::quantity(const solve::Check& check, double v) const {
  const int more = check.limit > 0 && check.limit < 0.1 ? 1 : 0;
  if (check.unit == "mm") return fmt::format("{} {}", fixed(lengths(v), (inch_ ? 4 : 3) + more), length_unit());
  if (check.unit == "cc") return fmt::format("{} cc", fixed(v, 3 + more));
  if (check.unit == "m/s") return units::format(v, velocity_unit(), 1);
  return fmt::format("{} {}", fixed(v, 1), check.unit);
}

std::string Words::note(const solve::Check& check) const {
  if (check.radius_mm <= 0) return check.note;
  return fmt::format("at radius {}{}{}", length(check.radius_mm), check.note.empty() ? "" : ", ", check.note);
}

} // namespace chamber::job
