// What the planner refuses, naming tool, place and cure.
#include "chamber/profile/integrals.hpp"
#include "whole_samples.hpp"
#include <algorithm>
#include <catch2/catch.hpp>
#include <string>

using namespace chamber;
using namespace chamber::turning;

namespace {

void refused(const Job& job, std::initializer_list<std::string_view> words) {
  const auto p = plan(job);
  REQUIRE_FALSE(p);
  const std::string all = p.error().message + " " + p.error().cure;
  INFO(all);
  CHECK_FALSE(p.error().cure.empty());
  for (const auto& w : words) CHECK(all.find(w) != std::string::npos);
}

Proof proof_of(const Job& job, const Plan& p, const Work& work) {
  const auto program = read(write(p, 0, job.machine), job.machine);
  REQUIRE(program);
  const Run runs[] = {{*program, p.setups[0].clamping}};
  return prove(runs, work, job.tools, job.machine);
}

/// The figure after `before` in the cure of a refused job, in mm.
double advised(const Job& job, std::string_view before) {
  const auto p = plan(job);
  REQUIRE_FALSE(p);
  INFO(p.error().message + " " + p.error().cure);
  const auto at = p.error().cure.find(before);
  REQUIRE(at != std::string::npos);
  return std::stod(p.error().cure.substr(at + before.size())) * (job.machine.inch ? 25.4 : 1);
}

Tool& rough(Job& job) {
  return job.tools[1];
}
Tool& finish(Job& job) {
  return job.tools[2];
}

} // namespace

TEST_CASE("a round tighter than the nose: place and largest usable nose") {
  auto job = samples::job_of(shapes::Family::flat_roof);
  finish(job).nose_radius_mm = 0.8;
  refused(job, {"tool 3", "0.80 mm", "rim round", "r 33.", "largest usable nose is 0.400 mm"});
}

TEST_CASE("a tight round left on purpose costs what the corner holds") {
  auto frame = samples::frame_of(shapes::Family::flat_roof);
  frame.rim_round = 0.9;
  frame.edge_height = 1.3;
  auto job = samples::job_of(shapes::build(frame, samples::dimensions_of(shapes::Family::flat_roof)));
  finish(job).nose_radius_mm = 0.8;
  job.leave_tight_rounds = true;
  job.allowance_mm = 0.3;
  const auto p = plan(job).value();
  // By hand: in the right angle at r = 7.2 a round R leaves a spandrel of section (1 - pi/4) R^2 and first moment
  // (5/6 - pi/4) R^3 about the corner; rounds of 0.8 and 0.4 differ by (Pappus):
  constexpr double pi = 3.14159265358979323846;
  const double by_hand = 2 * pi * ((1 - pi / 4) * (0.64 - 0.16) * 7.2 - (5.0 / 6 - pi / 4) * (0.512 - 0.064)) / 1000;
  CHECK(p.tight_left_cc == Approx(by_hand).epsilon(1e-6));
  CHECK(p.tight_left_cc == Approx((profile::swept_volume(profile::ChainView(job.chamber)) -
                                   profile::swept_volume(profile::ChainView(p.finished))) /
                                  1000)
                               .margin(1e-9));
  REQUIRE(p.notes.size() == 1);
  const auto proof = proof_of(job, p, samples::work_of(job, p));
  for (const auto& f : proof.failures) UNSCOPED_INFO(f.message);
  CHECK(proof.passed());
  // Against the drawing itself the proof sees the metal that is left.
  CHECK_FALSE(proof_of(job, p, job).passed());
}

TEST_CASE("a sharp concave corner") {
  auto frame = samples::frame_of(shapes::Family::spherical);
  frame.pocket_corner = 0;
  auto job = samples::job_of(shapes::build(frame, samples::dimensions_of(shapes::Family::spherical)));
  refused(job, {"tool 3", "sharp corner", "pocket", "r 7.20"});
}

TEST_CASE("bars that do not fit") {
  auto job = samples::job_of(shapes::Family::toroidal);
  finish(job).end_edge_angle_deg = 20;
  refused(job, {"tool 3", "end edge, 20 degrees", "slimmer insert"});
  job = samples::job_of(shapes::Family::toroidal);
  rough(job).end_edge_angle_deg = 20;
  refused(job, {"tool 2", "end edge, 20 degrees"});
  job = samples::job_of(shapes::Family::spherical);
  rough(job).min_bore_mm = 16;
  refused(job, {"tool 2", "16.00 mm", "pilot is 12.00 mm"});
  // A pocket 9 mm deep, 7.2 mm in radius: a head 16 mm wide does not go in.
  auto deep = samples::dimensions_of(shapes::Family::spherical);
  deep.pocket_depth = 9;
  job = samples::job_of(shapes::build(samples::frame_of(shapes::Family::spherical), deep));
  finish(job).min_bore_mm = 16;
  refused(job, {"tool 3", "its bar would come", "slimmer bar"});
  // The same head on a slim neck fits as long as the neck is as long as the pocket is deep.
  finish(job).neck_mm = 11;
  finish(job).neck_length_mm = 20;
  CHECK(plan(job));
  finish(job).neck_length_mm = 6;
  refused(job, {"tool 3", "bar behind the neck"});
}

TEST_CASE("overhang, reach, orientation") {
  auto job = samples::job_of(shapes::Family::spherical);
  finish(job).reach_mm = 41;
  refused(job, {"tool 3", "41.0 mm", "4.1 times", "steel"});
  finish(job).carbide_shank = true;
  CHECK(plan(job));
  finish(job).reach_mm = 71;
  refused(job, {"tool 3", "carbide", "7 times"});
  finish(job).reach_mm = 15;
  refused(job, {"tool 3", "reaches 15.0 mm", "16.2 mm deep"});
  for (const int tip : {0, 1, 2, 4, 5, 6, 10}) {
    job = samples::job_of(shapes::Family::spherical);
    finish(job).orientation = tip;
    refused(job, {"tool 3", "orientation"});
  }
}

TEST_CASE("other references for the same tip cut the same chamber") {
  for (const int tip : {3, 7, 8, 9}) {
    auto job = samples::job_of(shapes::Family::two_radius);
    rough(job).orientation = finish(job).orientation = tip;
    const auto p = plan(job).value();
    CHECK(proof_of(job, p, samples::work_of(job, p)).passed());
  }
}

TEST_CASE("drills and missing tools") {
  auto job = samples::job_of(shapes::Family::spherical);
  job.tools[0].diameter_mm = 12.8;
  refused(job, {"tool 1", "12.800 mm", "12.647 mm"});
  job.tools[0].diameter_mm = 12;
  job.tools[0].reach_mm = 40;
  refused(job, {"tool 1", "longer drill"});
  job.tools.erase(job.tools.begin());
  refused(job, {"no drill"});
  job = samples::job_of(shapes::Family::spherical);
  job.tools.pop_back();
  refused(job, {"no boring tool for finishing"});
  job = samples::job_of(shapes::Family::spherical);
  job.tools.erase(job.tools.begin() + 1);
  refused(job, {"no boring tool for roughing"});
}

TEST_CASE("the best tool that fits is taken, a smaller nose where the larger is too large") {
  auto job = samples::job_of(shapes::Family::spherical);
  auto big = job.tools[2];
  big.number = 4;
  big.nose_radius_mm = 0.8;
  job.tools.push_back(big);
  CHECK(plan(job).value().setups[0].operations.back().tool.number == 3);
}

TEST_CASE("blanks and chains that make no sense") {
  auto job = samples::job_of(shapes::Family::spherical);
  job.stock.thickness_mm = 39;
  refused(job, {"39.00 mm thick"});
  job.stock = {60, 42, 0};
  refused(job, {"does not hold the chamber"});
  job = samples::job_of(shapes::Family::spherical);
  job.stock.bore_mm = 14;
  refused(job, {"bore of 14.00"});
  job = samples::job_of(shapes::Family::spherical);
  job.chamber.erase(job.chamber.begin() + 2);
  refused(job, {"broken"});
  job = samples::job_of(shapes::Family::spherical);
  job.chamber = {profile::line(profile::P{20, 0}, profile::P{25, 10}),
                 profile::line(profile::P{25, 10}, profile::P{0, 10})};
  refused(job, {"undercut"});
}

TEST_CASE("the whole insert: tools that are missing, blanks and chucks that do not hold") {
  const auto whole = samples::whole_job(shapes::Family::spherical);
  REQUIRE(plan(whole));
  const auto without = [&](ToolKind kind) {
    auto job = whole;
    std::erase_if(job.tools, [&](const Tool& t) { return t.kind == kind; });
    return job;
  };
  refused(without(ToolKind::turning), {"no turning tool", "orientation 2"});
  refused(without(ToolKind::grooving), {"no grooving tool", "radial groove"});
  refused(without(ToolKind::face_grooving), {"no face grooving tool", "face groove"});
  refused(without(ToolKind::threading), {"neither a tap M14x1.25 nor a threading tool"});
  auto job = whole;
  job.stock.outside_diameter_mm = 92.1;
  refused(job, {"92.10 mm", "larger blank"});
  job = whole;
  job.stock.thickness_mm = job.height_mm + 1;
  refused(job, {"longer blank"});
  job = whole;
  job.chucking.second_grip_mm = 7.5;
  refused(job, {"soft jaws would grip 7.5 mm", "second_grip of 3.00 mm to"});
  job = whole;
  job.chucking.second = Chucking::Second::mandrel;
  refused(job, {"mandrel", "top"});
  job = whole;
  for (auto& t : job.tools)
    if (t.kind == ToolKind::grooving) t.width_mm = 4;
  refused(job, {"4.00 mm wide", "radial groove", "3.60 mm"});
  job = whole;
  for (auto& t : job.tools)
    if (t.kind == ToolKind::face_grooving) t.face_max_mm = 60;
  refused(job, {"plunges at diameters of 40 mm to 60 mm", "curved for that diameter"});
  job = whole;
  job.inner_corner_mm = 0.2;
  refused(job, {"nose of 0.40 mm", "inner_corner"});
}

TEST_CASE("leaving tight rounds holds for the chamber and not for the plug seat") {
  auto job = samples::whole_job(shapes::Family::spherical);
  job.leave_tight_rounds = true;
  job.inner_corner_mm = 0.41; // the turning tool's nose of 0.4 does
  finish(job).nose_radius_mm = 0.45;
  rough(job).nose_radius_mm = 0.45;
  refused(job, {"cannot cut the plug seat", "0.410 mm", "body.inner_corner"});
}

TEST_CASE("a size that is advised will do, to the last figure that is said") {
  for (const bool inch : {false, true}) {
    CAPTURE(inch);
    auto whole = samples::whole_job(shapes::Family::spherical);
    whole.machine.inch = inch;
    auto blade = std::find_if(whole.tools.begin(), whole.tools.end(),
                              [](const Tool& t) { return t.kind == ToolKind::grooving; });
    auto groove = std::find_if(whole.grooves.begin(), whole.grooves.end(), [](const Groove& g) { return !g.in_face; });
    REQUIRE(blade != whole.tools.end());
    REQUIRE(groove != whole.grooves.end());
    // Rounded to the nearest, 3.60 mm or 0.142 in, the blade would be too wide.
    groove->z_high_mm = groove->z_low_mm + 3.598;
    blade->width_mm = 4;
    blade->width_mm = advised(whole, "at most ");
    CHECK(blade->width_mm == Approx(inch ? 0.141 * 25.4 : 3.59).margin(1e-9));
    CHECK(plan(whole));
    groove->r_inner_mm = groove->r_outer_mm - 1.9042;
    auto bought = *blade;
    whole.tools.erase(blade);
    bought.width_mm = advised(whole, "at most ");
    bought.max_depth_mm = advised(whole, "that cuts ");
    whole.tools.push_back(bought);
    CHECK(plan(whole));
    whole.chucking.second_grip_mm = 7.5;
    whole.chucking.second_grip_mm = advised(whole, " to ");
    CHECK(plan(whole));
    whole.chucking.second_grip_mm = 1;
    whole.chucking.second_grip_mm = advised(whole, "second_grip of ");
    CHECK(plan(whole));

    auto job = samples::job_of(shapes::Family::spherical);
    job.machine.inch = inch;
    job.thread.name.clear();
    job.plug_hole_radius_mm = 5.9998;
    job.tools.erase(job.tools.begin());
    CHECK(advised(job, "at most ") <= 2 * job.plug_hole_radius_mm);
    job = samples::job_of(shapes::Family::spherical);
    job.machine.inch = inch;
    job.tools[0].diameter_mm = 12;
    job.thread = {"hole", 14, 1.25, 12.3454, 12.5678};
    CHECK(advised(job, "drill of ") >= 12.3454);
    CHECK(advised(job, " to ") <= 12.5678);

    auto frame = samples::frame_of(shapes::Family::flat_roof);
    frame.rim_round = 0.40079;
    job = samples::job_of(shapes::build(frame, samples::dimensions_of(shapes::Family::flat_roof)));
    job.machine.inch = inch;
    finish(job).nose_radius_mm = 0.8;
    finish(job).nose_radius_mm = advised(job, "nose is ");
    CHECK(plan(job));
  }
}
