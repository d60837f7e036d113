#include "chamber/drawing/files.hpp"
#include "chamber/drawing/font.hpp"
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <future>
#include <png.h>

using namespace chamber::drawing;

TEST_CASE("a bulge is the tangent of a quarter of the angle turned") { // DXF reference, group 42
  const double pi = std::numbers::pi;
  const auto half = arc_of({0, 0}, {2, 0}, 1); // half a circle, anticlockwise: below the chord
  CHECK(half.centre.x == Approx(1));
  CHECK(half.centre.y == Approx(0).margin(1e-12));
  CHECK(half.radius == Approx(1));
  CHECK(half.sweep_rad == Approx(pi));
  const auto quarter = arc_of({1, 0}, {0, 1}, std::tan(pi / 8)); // about the origin
  CHECK(quarter.centre.x == Approx(0).margin(1e-12));
  CHECK(quarter.centre.y == Approx(0).margin(1e-12));
  CHECK(quarter.radius == Approx(1));
  const auto clockwise = arc_of({0, 1}, {1, 0}, -std::tan(pi / 8));
  CHECK(clockwise.radius == Approx(1));
  CHECK(clockwise.centre.x == Approx(0).margin(1e-12));
  CHECK(clockwise.from_rad == Approx(0).margin(1e-12));
}

TEST_CASE("boxes take in the bulge of an arc") {
  const auto b = box_of(Item(Arc{{10, 20}, 5, std::numbers::pi / 4, std::numbers::pi, pen(Layer::outline)}));
  CHECK(b.top == Approx(25));
  CHECK(b.left == Approx(5));
  CHECK(b.right == Approx(10 + 5 / std::sqrt(2)));
}

TEST_CASE("words are measured") {
  REQUIRE(font_ready());
  CHECK(measure("H", 3.5).above == Approx(3.5)); // ISO 3098: the height of a capital letter
  CHECK(measure("HH", 3.5).width == Approx(2 * measure("H", 3.5).width));
  CHECK(measure("H", 7).width == Approx(2 * measure("H", 3.5).width));
  CHECK(measure("⌀", 2.5).width != measure("?", 2.5).width); // the font has it
  CHECK(printable("\xff\xe2\x82") == "??");
  const auto upright = box_of(Text{{10, 10}, "37", 2.5, Align::centre, std::numbers::pi / 2});
  CHECK(upright.height() == Approx(measure("37", 2.5).width));
  CHECK((upright.top + upright.bottom) / 2 == Approx(10));
}

TEST_CASE("the same picture gives the same bytes") {
  Picture p{"Title", 100, 80, {}};
  p.add(Text{{10, 10}, "⌀66.4 ± 0.1"});
  p.add(Polyline{{{{10, 20}, 0.3}, {{40, 30}, 0}, {{50, 20}, 0}}, true, pen(Layer::outline)});
  REQUIRE(to_pdf(std::span(&p, 1)));
  CHECK(*to_pdf(std::span(&p, 1)) == *to_pdf(std::span(&p, 1)));
  CHECK(*to_svg(p) == *to_svg(p));
  CHECK(*to_png(p) == *to_png(p));
  const auto dxf = to_dxf(p, {{5, 5}, 2});
  CHECK(dxf == to_dxf(p, {{5, 5}, 2}));
  CHECK(dxf.find("%%c66.4 %%p 0.1") != std::string::npos);
  CHECK(dxf.find("\n 10\n2.5000000000\n") != std::string::npos); // (10 - 5) / 2
  // Also from several threads at once: the lettering is one for all.
  const auto files = [&p] { return std::array{*to_pdf(std::span(&p, 1)), *to_svg(p), *to_png(p)}; };
  const auto alone = files();
  std::vector<std::future<std::array<std::string, 3>>> others;
  for (int i = 0; i < 4; ++i) others.push_back(std::async(std::launch::async, files));
  for (auto& other : others) CHECK(other.get() == alone);
}

TEST_CASE("a PNG shows the picture in grey or in colour, later items over earlier ones") {
  using Pixel = std::array<int, 3>;
  const Colour grey{0.4, 0.4, 0.4}, pink{1, 0.2, 0.6};
  const auto square = [](double side, Colour fill) { return Area{{{0, 0}, {side, 0}, {side, side}, {0, side}}, fill}; };
  for (const auto& [last, seen] : {std::pair{grey, Pixel{102, 102, 102}}, {pink, Pixel{255, 51, 153}}}) {
    Picture p{"Title", 40, 40, {}};
    p.add(square(30, black));
    p.add(square(20, white));
    p.add(square(10, last));
    const auto png = to_png(p, 25.4); // a pixel is a mm
    REQUIRE(png);
    png_image read{};
    read.version = PNG_IMAGE_VERSION;
    REQUIRE(png_image_begin_read_from_memory(&read, png->data(), png->size()));
    read.format = PNG_FORMAT_RGB;
    std::vector<unsigned char> bytes(PNG_IMAGE_SIZE(read));
    REQUIRE(png_image_finish_read(&read, nullptr, bytes.data(), 0, nullptr));
    REQUIRE(read.width == 40);
    const auto along_the_diagonal = [&](std::size_t mm) { // from the lower left corner
      const auto* at = &bytes[3 * ((39 - mm) * 40 + mm)];
      return Pixel{at[0], at[1], at[2]};
    };
    CHECK(along_the_diagonal(5) == seen);
    CHECK(along_the_diagonal(15) == Pixel{255, 255, 255});
    CHECK(along_the_diagonal(25) == Pixel{0, 0, 0});
    CHECK(along_the_diagonal(35) == Pixel{255, 255, 255});
  }
}

TEST_CASE("a file that cannot be written is named") {
  Picture p{"Title", 100, 80, {}};
  p.add(Text{{10, 10}, "x"});
  const Target to[] = {{Format::dxf, "/nonexistent/a.dxf"}};
  const auto done = write(p, {}, to);
  REQUIRE(!done);
  CHECK(done.error().message.find("/nonexistent/a.dxf") != std::string::npos);
}
