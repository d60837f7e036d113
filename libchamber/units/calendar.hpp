#pragma once
#include "chamber/units/result.hpp"
#include <ctime>
#include <optional>
#include <string>

namespace chamber {

/// The time the environment's SOURCE_DATE_EPOCH names, by which the same work gives the same bytes at any time; nothing
/// where it is not set. Fails when it is no number of seconds since 1970, up to the year 9999.
/// Source: the reproducible-builds specification "SOURCE_DATE_EPOCH".
Result<std::optional<std::time_t>> source_date();

/// "2026-01-31T12:00:00" (ISO 8601), in UTC.
std::string iso_8601(std::time_t seconds);

} // namespace chamber
