// Profiles given as DXF, written by our own writer; those other programs write are in tests/external/dxf_ezdxf.py.
#include "chamber/profile/distance.hpp"
#include "proposed_samples.hpp"
#include "random.hpp"
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>

using namespace chamber;
using namespace chamber::profile;
using namespace chamber::profile::testing;

namespace {

/// A drawing of the given entities.
std::string drawing(const std::string& entities, const std::string& header = "") {
  return "  0\nSECTION\n  2\nHEADER\n" + header + "  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n" + entities +
         "  0\nENDSEC\n  0\nEOF\n";
}
std::string entities_of(ChainView chain) {
  const auto whole = write_dxf(chain, {false, false, "0"});
  const auto from = whole.find("ENTITIES\n") + 9;
  return whole.substr(from, whole.find("  0\nENDSEC", from) - from);
}

} // namespace

TEST_CASE("dxf: what we write we read", "[proposed]") {
  for (const bool bulges : {true, false})
    for (const bool inch : {true, false}) {
      CAPTURE(bulges, inch);
      const auto p = dxf(write_dxf(plain_chamber(), {bulges, inch, "CHAMBER"}));
      CAPTURE(complaint(p));
      REQUIRE(p);
      CHECK(volume(*p) == Approx(plain_chamber_mm3).epsilon(1e-10));
      CHECK(p->chain.size() == 6);
      CHECK(says(p->taken, inch ? "inches" : "millimetres"));
      CHECK(p->cautions.empty());
      const auto q = dxf(write_dxf(spherical_segment(), {bulges, inch, "0"}));
      REQUIRE(q);
      CHECK(volume(*q) == Approx(segment_mm3).epsilon(1e-10));
    }
}

TEST_CASE("dxf: random chains come back as they were", "[proposed]") {
  rc::prop("segment by segment", [] {
    auto chain = random_chain();
    if (swept_volume(ChainView(chain)) < 0) chain = mirrored(chain);
    RC_PRE(swept_volume(ChainView(chain)) > 100);
    const auto box = bounding_box(chain);
    RC_PRE(box.r_min > -1e-9 && chain.back().end.r == 0);
    ProposedOptions o;
    o.axis = TurningAxis::vertical;
    o.axis_at_mm = 0;
    o.unit = LengthUnit::millimetre;
    for (const bool bulges : {true, false}) {
      const auto p = dxf(write_dxf(chain, {bulges, false, "0"}), o);
      RC_LOG() << complaint(p);
      RC_ASSERT(!!p);
      RC_ASSERT(p->chain.size() == chain.size());
      RC_ASSERT(std::abs(volume(*p) / swept_volume(ChainView(chain)) - 1) < 1e-8);
      for (std::size_t i = 0; i < chain.size(); ++i) {
        RC_ASSERT(p->chain[i].kind == chain[i].kind);
        RC_ASSERT(length(p->chain[i].end - chain[i].end) < 1e-6);
      }
    }
  });
}

TEST_CASE("dxf: the order and the sense of entities mean nothing", "[proposed]") {
  rc::prop("shuffled, turned about, mirrored, moved", [] {
    auto chain = random_chain();
    if (swept_volume(ChainView(chain)) < 0) chain = mirrored(chain);
    const double wanted = swept_volume(ChainView(chain));
    RC_PRE(wanted > 100);
    RC_PRE(bounding_box(chain).r_min > -1e-9);
    ProposedOptions o;
    o.axis = TurningAxis::vertical;
    o.axis_at_mm = *rc::gen::inRange(-3, 4) * 50.0;
    o.unit = LengthUnit::millimetre;
    const bool left = *rc::gen::arbitrary<bool>(), down = *rc::gen::arbitrary<bool>();
    Chain pieces;
    for (auto s : chain) {
      if (*rc::gen::arbitrary<bool>()) s = reversed(s);
      for (P* p : {&s.start, &s.end, &s.centre}) {
        p->r = (left ? -p->r : p->r) + *o.axis_at_mm;
        p->z = (down ? -p->z : p->z) + 7;
      }
      if (s.is_arc() && left != down) s.kind = s.kind == Kind::ccw ? Kind::cw : Kind::ccw;
      pieces.insert(pieces.begin() + *rc::gen::inRange(0, static_cast<int>(pieces.size()) + 1), s);
    }
    std::string entities;
    for (const auto& s : pieces) entities += entities_of(ChainView(&s, 1));
    const auto p = dxf(drawing(entities), o);
    RC_LOG() << complaint(p);
    RC_ASSERT(!!p);
    RC_ASSERT(std::abs(volume(*p) / wanted - 1) < 1e-7);
    RC_ASSERT(!broken_at(p->chain));
  });
}

TEST_CASE("dxf: refusals name the line and the cure", "[proposed]") {
  const auto good = write_dxf(plain_chamber(), {false, false, "0"});
  struct Bad {
    const char* what;
    std::string text;
    const char* message;
  };
  const std::string circle = "  0\nCIRCLE\n  8\n0\n 10\n0\n 20\n0\n 40\n33\n";
  const std::string tilted = "  0\nARC\n  8\n0\n 10\n0\n 20\n0\n 40\n33\n 50\n0\n 51\n90\n210\n1\n220\n0\n230\n0\n";
  const Bad all[] = {
      {"empty", "", "no section"},
      {"a table", "33,0\n0,12\n", "group code"},
      {"binary DXF", std::string("AutoCAD Binary DXF\r\n\x1a\0", 22), "binary DXF"},
      {"DWG", "AC1032\nxx\n", "a DWG"},
      {"cut short", good.substr(0, good.size() / 2), ""},
      {"circle", drawing(circle), "CIRCLE"},
      {"tilted", drawing(tilted), "plane"},
      {"not a number", drawing("  0\nLINE\n  8\n0\n 10\nten\n"), "\"ten\""},
      {"not finite", drawing("  0\nLINE\n  8\n0\n 10\nnan\n"), "\"nan\""},
      {"stray vertex", drawing("  0\nVERTEX\n  8\n0\n 10\n1\n 20\n1\n"), "VERTEX"},
      {"unit of another trade", drawing(entities_of(plain_chamber()), "  9\n$INSUNITS\n 70\n18\n"), "18"},
      {"branch",
       drawing(entities_of(plain_chamber()) + "  0\nLINE\n  8\n0\n 10\n24\n 20\n0.8\n 11\n40\n 21\n20\n" +
               "  0\nLINE\n  8\n0\n 10\n12\n 20\n10.8\n 11\n40\n 21\n30\n"),
       "more than two lines meet"},
  };
  for (const auto& b : all) {
    CAPTURE(b.what);
    const auto p = dxf(b.text);
    REQUIRE_FALSE(p);
    REQUIRE(p.error().size() == 1);
    CAPTURE(complaint(p));
    CHECK(p.error()[0].message.find(b.message) != std::string::npos);
    CHECK(!p.error()[0].cure.empty());
  }
}

TEST_CASE("dxf: an axis that could be either is asked about", "[proposed]") {
  // As deep as wide: both readings are chambers alike.
  const Chain c{line(P{30, 0}, P{20, 14}), line(P{20, 14}, P{14, 20}), line(P{14, 20}, P{0, 30})};
  auto other = c;
  other[2] = line(P{14, 20}, P{0, 29.5});
  const auto p = dxf(write_dxf(c, {false, false, "0"}));
  if (p) CHECK(volume(*p) == Approx(swept_volume(ChainView(c))).epsilon(1e-9)); // symmetric: one volume
  ProposedOptions o;
  o.axis = TurningAxis::vertical;
  const auto q = dxf(write_dxf(other, {false, false, "0"}), o);
  REQUIRE(q);
  CHECK(volume(*q) == Approx(swept_volume(ChainView(other))).epsilon(1e-9));
}
