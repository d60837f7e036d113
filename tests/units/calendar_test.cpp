#include "chamber/units/calendar.hpp"
#include <catch2/catch.hpp>
#include <cstdlib>

using namespace chamber;

TEST_CASE("moments are written as GNU date writes them") { // date -u -d @SECONDS +%Y-%m-%dT%H:%M:%S
  CHECK(iso_8601(0) == "1970-01-01T00:00:00");
  CHECK(iso_8601(951782400) == "2000-02-29T00:00:00");
  CHECK(iso_8601(1767225599) == "2025-12-31T23:59:59");
  CHECK(iso_8601(253402300799) == "9999-12-31T23:59:59");
}

TEST_CASE("the source date is what the environment says and nothing else") {
  unsetenv("SOURCE_DATE_EPOCH");
  CHECK_FALSE(source_date().value());
  setenv("SOURCE_DATE_EPOCH", "1767225600", 1);
  CHECK(source_date().value() == std::optional<std::time_t>(1767225600));
  for (const char* text : {"", "yesterday", "12.5", "-1", "253402300800", "99999999999999999999"}) {
    setenv("SOURCE_DATE_EPOCH", text, 1);
    CAPTURE(text);
    CHECK_FALSE(source_date());
  }
  unsetenv("SOURCE_DATE_EPOCH");
}
