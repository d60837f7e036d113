#include "chamber/job/files.hpp"
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <sstream>

using namespace chamber::job;
namespace fs = std::filesystem;

namespace {

struct Scratch {
  fs::path path;
  Scratch() {
    std::string pattern = (fs::temp_directory_path() / "chamber-test-XXXXXX").string();
    REQUIRE(mkdtemp(pattern.data()));
    path = pattern;
  }
  ~Scratch() { fs::remove_all(path); }
};

std::string content(const fs::path& p) {
  std::ifstream in(p);
  std::stringstream s;
  s << in.rdbuf();
  return s.str();
}

} // namespace

TEST_CASE("files: nothing is seen before the commit, and nothing is left without it", "[files]") {
  Scratch scratch;
  const auto out = scratch.path / "a" / "b";
  {
    auto s = Staging::open(out);
    REQUIRE(s);
    REQUIRE(s->write("one.txt", "1"));
    CHECK_FALSE(fs::exists(out / "one.txt"));
  }
  CHECK_FALSE(fs::exists(out)); // it made the folder, so it takes it away again
  {
    auto s = Staging::open(out);
    REQUIRE(s);
    REQUIRE(s->write("one.txt", "1"));
    REQUIRE(s->write("two.txt", "2"));
    const auto names = s->commit();
    REQUIRE(names);
    CHECK(*names == std::vector<std::string>{"one.txt", "two.txt"});
  }
  CHECK(content(out / "one.txt") == "1");
  CHECK(std::distance(fs::directory_iterator(out), fs::directory_iterator{}) == 2);
}

TEST_CASE("files: a folder that cannot be made is one clear problem", "[files]") {
  Scratch scratch;
  std::ofstream(scratch.path / "file") << "x";
  const auto s = Staging::open(scratch.path / "file" / "sub");
  REQUIRE_FALSE(s);
  CHECK(s.error().message.find("cannot be made") != std::string::npos);
  CHECK_FALSE(s.error().cure.empty());
}

TEST_CASE("files: slugs", "[files]") {
  CHECK(slug("Sand drag 250") == "sand-drag-250");
  CHECK(slug("../../etc/passwd") == "etc-passwd");
  CHECK(slug("***") == "insert");
}
