#pragma once
// Figures as the user types them: inches where the bore was typed in them.
#include "chamber/job/spec.hpp"

namespace chamber::job {

class Words {
public:
  /// Where no spec says: `inch` or mm, psi, m and m/s.
  explicit Words(bool inch) : inch_(inch), pressure_(nullptr), altitude_(nullptr), velocity_(nullptr) {}
  explicit Words(const Spec& spec)
      : inch_(spec.length_unit && is_inch(*spec.length_unit)), pressure_(spec.pressure_unit),
        altitude_(spec.altitude_unit), velocity_(spec.velocity_unit) {}
  bool inch() const { return inch_; }
  std::string_view length_unit() const { return inch_ ? "in" : "mm"; }
  double lengths(double mm) const { return inch_ ? mm / units::mm_per_inch : mm; }
  /// To 0.01 mm or 0.001 in; `fine`: to 0.001 mm or 0.0001 in. With the unit.
  std::string length(double mm, bool fine = false) const;
  /// The same without the unit.
  std::string figure(double mm, bool fine = false) const;
  const units::Unit& pressure_unit() const;
  const units::Unit& altitude_unit() const;
  const units::Unit& velocity_unit() const;
  /// To what a gauge shows: 1 psi, 5 kPa, 0.1 bar.
  std::string pressure(double kpa) const;
  std::string pressure_figure(double kpa) const;
  /// To 0.1 m/s or 1 ft/s.
  std::string velocity(double m_per_s) const;
  /// Value and limit of a check, with enough digits to tell them apart.
  std::string value(const solve::Check& check) const { return quantity(check, check.value); }
  std::string limit(const solve::Check& check) const { return quantity(check, check.limit); }

  /// Its place and its note; may be empty.
  std::string note(const solve::Check& check) const;

private:
  std::string quantity(const solve::Check& check, double v) const;

  bool inch_;
  const units::Unit *pressure_, *altitude_, *velocity_;
};

} // namespace chamber::job
