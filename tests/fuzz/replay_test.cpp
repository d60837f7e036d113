// Every seed and everything a fuzzer ever found, fed to its reader again.
#include "../processor_time.hpp"
#include "target.hpp"
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>

using namespace chamber::fuzz;
namespace fs = std::filesystem;

namespace {

/// So many files there are: none is lost unseen. A new one is counted here.
constexpr int seeds = 92, findings = 5;

std::string read_whole(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  REQUIRE(in);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

/// Feeds what lies in folder/<reader>; returns how many files that were.
int feed(const fs::path& folder, const Target& target) {
  int count = 0;
  for (const auto& file : fs::directory_iterator(folder)) {
    INFO(target.name << ": " << file.path().string());
    const double from = processor_s();
    CHECK_NOTHROW(target.take(read_whole(file.path())));
    CHECK(processor_s() - from < 10);
    ++count;
  }
  return count;
}

/// Nothing lies where no reader looks.
void check_known(const fs::path& folder, std::string_view Target::*name) {
  const auto known = targets();
  for (const auto& below : fs::directory_iterator(folder))
    CHECK(std::any_of(known.begin(), known.end(),
                      [&](const Target& t) { return below.path().filename().string() == t.*name; }));
}

} // namespace

TEST_CASE("seeds keep their readers' promises") {
  const fs::path folder(CHAMBER_TEST_FILES "/fuzz/seeds");
  int fed = 0;
  for (const auto& target : targets()) {
    const int count = feed(folder / target.seeds, target);
    CHECK(count >= 2);
    if (target.seeds == target.name) fed += count;
  }
  CHECK(fed == seeds);
  check_known(folder, &Target::seeds);
}

TEST_CASE("what once broke a reader no longer does") {
  const fs::path folder(CHAMBER_TEST_FILES "/corpus");
  int fed = 0;
  for (const auto& target : targets())
    if (fs::is_directory(folder / target.name)) fed += feed(folder / target.name, target);
  CHECK(fed == findings);
  check_known(folder, &Target::name);
}

TEST_CASE("a broken promise is seen") {
  CHECK_THROWS_AS(promise(false, "this one"), Broken);
  CHECK_THROWS_AS(check_problems({}, 10, ""), Broken);
  CHECK_THROWS_AS(check_problem({{}, "a bell \a", "none"}), Broken);
  CHECK_THROWS_AS(check_problem({{}, "no cure", ""}), Broken);
  CHECK_THROWS_AS(check_profile({}), Broken);
}
