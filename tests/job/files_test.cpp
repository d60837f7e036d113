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

TEST_CASE("files: where one cannot be put in place, every old one comes back", "[files]") {
  Scratch scratch;
  std::ofstream(scratch.path / "a.txt") << "old a";
  auto s = Staging::open(scratch.path);
  REQUIRE(s);
  REQUIRE(s->write("a.txt", "new a"));
  REQUIRE(s->write("b.txt", "new b"));
  // Only the rename itself meets this: a staged folder does not go where a file stands.
  fs::create_directory(s->path("c.txt"));
  std::ofstream(s->path("c.txt") / "x") << "x";
  std::ofstream(scratch.path / "c.txt") << "old c";
  const auto names = s->commit();
  REQUIRE_FALSE(names);
  CHECK(names.error().message.find("cannot be put in place") != std::string::npos);
  CHECK(content(scratch.path / "a.txt") == "old a");
  CHECK(content(scratch.path / "c.txt") == "old c");
  CHECK_FALSE(fs::exists(scratch.path / "b.txt"));
}

TEST_CASE("files: what a killed run left is put right by the next", "[files]") {
  Scratch scratch;
  const auto leave = [&](const char* name, bool on_its_way) {
    const auto hidden = scratch.path / name;
    fs::create_directories(hidden / "new");
    if (on_its_way) fs::create_directory(hidden / "old");
    std::ofstream(hidden / "new" / "a.txt") << "new a";
  };
  std::ofstream(scratch.path / "a.txt") << "old a";
  leave(".chamber-half00", false);
  REQUIRE(Staging::open(scratch.path));
  CHECK(content(scratch.path / "a.txt") == "old a");
  leave(".chamber-whole0", true);
  {
    const auto alive = Staging::open(scratch.path); // this one's folder is not touched
    REQUIRE(alive);
    REQUIRE(alive->write("b.txt", "b"));
    CHECK(content(scratch.path / "a.txt") == "new a");
    REQUIRE(Staging::open(scratch.path));
    CHECK(content(alive->path("b.txt")) == "b");
  }
  CHECK(std::distance(fs::directory_iterator(scratch.path), fs::directory_iterator{}) == 1);
}

TEST_CASE("files: a write-protected file is not replaced", "[files]") {
  Scratch scratch;
  std::ofstream(scratch.path / "a.txt") << "old";
  fs::permissions(scratch.path / "a.txt", fs::perms::owner_read);
  auto s = Staging::open(scratch.path);
  REQUIRE(s);
  REQUIRE(s->write("a.txt", "new"));
  const auto names = s->commit();
  REQUIRE_FALSE(names);
  CHECK(names.error().message.find("write-protected") != std::string::npos);
  CHECK(content(scratch.path / "a.txt") == "old");
}
