// The one compiled copy of Catch, shared by every room's tests, and the seed of the property tests.
#define CATCH_CONFIG_RUNNER
#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>
#include <random>
#include <string>

namespace {

std::string parameters() {
  const char* given = std::getenv("RC_PARAMS");
  return given ? given : "";
}

/// rapidcheck reads RC_PARAMS at its first property. A seed is chosen here, unless one is given, so that it can be
/// shown before anything runs: a crash or a hang is then as reproducible as a failure.
void choose_seed() {
  auto text = parameters();
  if (text.find("seed=") != std::string::npos) return;
  std::random_device device;
  const auto seed = (static_cast<unsigned long long>(device()) << 32) | device();
  text += (text.empty() ? "seed=" : " seed=") + std::to_string(seed);
  setenv("RC_PARAMS", text.c_str(), 1);
}

struct ShowSeed : Catch::TestEventListenerBase {
  using TestEventListenerBase::TestEventListenerBase;
  void testRunStarting(const Catch::TestRunInfo& run) override {
    TestEventListenerBase::testRunStarting(run);
    std::printf("RC_PARAMS=\"%s\"\n", parameters().c_str());
    std::fflush(stdout);
  }
};

} // namespace

CATCH_REGISTER_LISTENER(ShowSeed)

int main(int argc, char* argv[]) {
  choose_seed();
  return Catch::Session().run(argc, argv);
}
