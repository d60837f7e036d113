// The kernel comes in by name at run time: found beside the program, refused when foreign, reported when missing.
#include "chamber/solid/loader.hpp"
#include "samples.hpp"
#include "scratch.hpp"
#include <catch2/catch.hpp>
#include <dlfcn.h>

using namespace chamber;

namespace {
bool kernel_in_memory() {
  return dlopen("libTKernel.so.7", RTLD_LAZY | RTLD_NOLOAD) != nullptr;
}
} // namespace

TEST_CASE("no kernel in memory before it is asked for, then the same contract as make()", "[loader]") {
  REQUIRE_FALSE(kernel_in_memory());
  const auto make = solid::load();
  if (!make) FAIL(to_text(make.error()));
  CHECK(kernel_in_memory());
  CHECK(*solid::load() == *make);
  const scratch::Folder folder;
  const auto parts = samples::parts(samples::sample(shapes::Family::toroidal), folder / "s");
  const auto results = (*make)(parts, scratch::options());
  if (!results) FAIL(to_text(results.error()));
  CHECK(results->size() == 2);
  CHECK(results->at(1).volume_reread_mm3 == Approx(results->at(1).volume_closed_mm3).epsilon(1e-9));
  CHECK(folder.files() == 4);
  auto bad = parts;
  bad[1].outline.pop_back();
  const auto refused = (*make)(bad, scratch::options());
  REQUIRE_FALSE(refused);
  CHECK(refused.error().message.find("toroidal cavity") != std::string::npos);
}

TEST_CASE("a missing, a broken and a foreign module are told apart", "[loader]") {
  const scratch::Folder folder;
  const auto missing = solid::load_from({folder.path(), folder / "lib"});
  REQUIRE_FALSE(missing);
  CHECK(missing.error().message.find("libchamber_solid_kernel.so was not found (looked in " + folder.path() + ", ") ==
        0);
  std::ofstream(folder / "libchamber_solid_kernel.so") << "not a library";
  const auto broken = solid::load_from({folder.path()});
  REQUIRE_FALSE(broken);
  CHECK(broken.error().message.find("does not load") != std::string::npos);
  const auto foreign = solid::load_from({FOREIGN_KERNEL_DIR});
  REQUIRE_FALSE(foreign);
  CHECK(foreign.error().message.find("of build \"another\"") != std::string::npos);
}
