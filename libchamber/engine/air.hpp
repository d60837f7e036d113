#pragma once
// Air at the site: standard atmosphere, barometers, density.

namespace chamber::engine {

inline constexpr double standard_pressure_kpa = 101.325;

/// Geopotential height of a geometric one, m: H = r0 z / (r0 + z), r0 = 6356766 m (US Standard Atmosphere 1976).
double geopotential_m(double geometric_m);

/// Pressure (kPa) and temperature (deg C) of the standard atmosphere at a geopotential height below 11 km (US Standard
/// Atmosphere 1976; ISO 2533): p = 101.325 (1 - 0.0065 H / 288.15)^5.255876, T = 288.15 - 0.0065 H.
double standard_pressure_at_kpa(double geopotential_m);
double standard_temperature_at_c(double geopotential_m);
/// Geopotential height at which the standard atmosphere has this pressure (pressure altitude), m.
double pressure_altitude_m(double pressure_kpa);

/// Density of moist air, kg/m3: CIPM-2007 (Picard et al., Metrologia 45 (2008) 149; constants from memory), 400 ppm
/// CO2. Humidity 0..1. Meant for 60-110 kPa and 15-27 deg C; outside it still holds to well under a per cent.
double air_density_kg_m3(double pressure_kpa, double temperature_c, double humidity);
/// Geopotential height at which the standard atmosphere has this density, m.
double density_altitude_m(double density_kg_m3);

/// Station pressure from a barometer reduced to sea level (altimeter setting) at a station of this height, kPa: the
/// standard atmosphere shifted so that it has the reduced pressure at sea level (ICAO reduction).
double station_pressure_kpa(double sea_level_pressure_kpa, double geopotential_m);

/// Least pressure weather makes, over the standard one for the height (870 hPa at sea level, the lowest reported, is
/// 0.86; from memory).
inline constexpr double lowest_weather = 0.85;
/// Greatest, likewise (1084 hPa, the highest reported at sea level, is 1.07; from memory).
inline constexpr double highest_weather = 1.08;

/// True when a figure said to be reduced to sea level is nearer to what a barometer shows at this height, and lower
/// than weather makes it at sea level but in a storm.
bool looks_like_station(double pressure_kpa, double geopotential_m);

/// True when a "station pressure" is more than 2.5 % over the standard atmosphere at this height: a rare day, or
/// perhaps a weather report's figure.
bool high_for_station_pressure(double pressure_kpa, double geopotential_m);

/// True when a "station pressure" at this height is almost surely one that a weather report reduced to sea level: more
/// than 5 % over the standard atmosphere there, which weather hardly ever reaches (records are near 7 %), while it
/// would be an ordinary sea-level figure.
bool looks_reduced_to_sea_level(double pressure_kpa, double geopotential_m);

} // namespace chamber::engine
