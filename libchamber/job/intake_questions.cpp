#include "chamber/job/intake_question.hpp"

namespace chamber::job {
namespace {

constexpr std::array<std::string_view, 2> yes_no{"yes", "no"};
constexpr std::array<std::string_view, 2> deck_ways{"as a height", "depth gauge over blocks"};
constexpr std::array<std::string_view, 3> crowns{"flat", "domed", "dished"};
constexpr std::array<std::string_view, 3> crown_ways{"height", "radius", "volume"};
constexpr std::array<std::string_view, 2> seals{"o-ring", "gasket"};
constexpr std::array<std::string_view, 3> threads{"M14x1.25", "M12x1.25", "M10x1"};
constexpr std::array<std::string_view, 2> seats{"washer", "taper"};

} // namespace

std::vector<Question> motor_questions() {
  using A = Answer;
  return {
      ask("job", "name", "What shall the job be called?", A::text)
          .why("Goes into file names, drawing and program: plain letters and digits."),
      ask("job", "customer", "Whose motor is it?", A::text).may_skip().why("For your own records."),

      ask("engine", "bore", "Bore?", A::length)
          .within(20, 200)
          .why("Cylinder diameter, measured below the exhaust port where the ring has not worn it."),
      ask("engine", "stroke", "Stroke?", A::length)
          .within(20, 200)
          .why("From the maker's data, or the piston's travel by depth gauge."),
      ask("engine", "rod", "Rod length, centre to centre?", A::length)
          .may_skip()
          .within(30, 500)
          .why("Moves the trapped volume a little. Skip it if unknown: 1.85 x stroke is then assumed."),
      ask("engine", "power_valve", "Is there a power valve?", A::choice)
          .of(yes_no)
          .only_asked()
          .why("It gives the exhaust two durations: a gauge sees the shut one, peak power the open one."),
      ask("engine", "exhaust_duration", "Exhaust duration?", A::angle)
          .within(100, 240)
          .when("engine.power_valve", "no")
          .why("Degree wheel, port edge opening to port edge closing, in crank degrees."),
      ask("engine", "exhaust_valve_shut", "Exhaust duration, power valve shut?", A::angle)
          .within(100, 240)
          .when("engine.power_valve", "yes")
          .why("As it is at kicking speed: hold the valve down."),
      ask("engine", "exhaust_valve_open", "Exhaust duration, power valve open?", A::angle)
          .within(100, 240)
          .when("engine.power_valve", "yes")
          .why("Valve held fully open."),
      ask("engine", "peak_power", "Speed of peak power?", A::rotation)
          .may_skip()
          .within(500, 30000)
          .why("For the squish velocity. Skip it if unknown."),
      ask("engine", "deck_by", "How do you have the piston's height at top dead centre?", A::choice)
          .of(deck_ways)
          .only_asked()
          .why("Of the piston's edge against the cylinder's top. With two equal blocks on the cylinder and a depth "
               "gauge over\n"
               "them, give reading and block as they are: nothing to subtract."),
      ask("engine", "deck", "How far does the piston's edge stand below or above the cylinder's top?", A::height)
          .within(-15, 15)
          .when("engine.deck_by", "as a height")
          .why("Say \"0.35 mm below\", \"0.010 in above\" or \"level\". Never a sign."),
      ask("engine", "deck_reading", "Depth gauge over the blocks, down to the piston's edge?", A::length)
          .within(0, 300)
          .when("engine.deck_by", "depth gauge over blocks")
          .why("Take it on both sides along the pin, where the piston does not rock, and give the mean."),
      ask("engine", "deck_block", "How thick are the blocks?", A::length)
          .within(0, 300)
          .when("engine.deck_by", "depth gauge over blocks")
          .why("Both the same: measure them with a micrometer."),

      ask("crown", "form", "Piston crown?", A::choice).of(crowns).why("Lay a straight edge across it."),
      ask("crown", "known_by", "What do you know of it?", A::choice)
          .of(crown_ways)
          .only_asked()
          .when("crown.form", "domed|dished")
          .why("Height from the centre to the edge by depth gauge is the easiest. A radius comes from the maker; a "
               "volume from\n"
               "filling over the piston at a known depth."),
      ask("crown", "height", "How high does the dome stand over its edge (or deep the dish)?", A::length)
          .within(0.01, 60)
          .when("crown.known_by", "height")
          .why("Depth gauge from the centre to the edge."),
      ask("crown", "radius", "Radius of the crown?", A::length)
          .within(10, 5000)
          .when("crown.known_by", "radius")
          .why("The sphere it is part of."),
      ask("crown", "volume", "How much does the dome displace (or the dish hold)?", A::volume)
          .within(0.001, 200)
          .when("crown.known_by", "volume")
          .why("Over (or under) the plane of its edge; no sign."),

      ask("seal", "kind", "What seals the head?", A::choice).of(seals).why("An O-ring head has no gasket volume."),
      ask("seal", "bore", "Gasket bore?", A::length)
          .within(20, 240)
          .when("seal.kind", "gasket")
          .why("The hole in the gasket."),
      ask("seal", "thickness", "Gasket thickness, compressed?", A::length)
          .within(0.05, 6)
          .when("seal.kind", "gasket")
          .why("Measure a used one."),

      ask("plug", "thread", "Plug thread?", A::choice)
          .of(threads)
          .why("Stands on the plug, or measure over the thread."),
      ask("plug", "reach", "Plug reach?", A::length).within(5, 40).why("Thread length from the seat: 19 mm, 3/4 in."),
      ask("plug", "seat", "How does the plug seat?", A::choice)
          .of(seats)
          .may_skip()
          .why("On a gasket washer, or on a taper. Skip it for a washer."),
      ask("plug", "washer", "How thick is the washer once it is crushed?", A::length)
          .may_skip()
          .within(0.5, 3)
          .when("plug.seat", "washer|")
          .why("Measure a used one. 1.3 to 1.6 mm is usual; skipped, 1.45 mm is taken."),

      ask("squish", "clearance", "Squish clearance wanted, at the bore?", A::length)
          .may_skip()
          .within(0.3, 6)
          .why("The gap between band and crown at top dead centre, as solder would measure it. It sets a least volume "
               "too.\n"
               "Too tight breaks parts: the rod stretches at speed. Skip it if it is not settled."),
  };
}

std::span<const Question> questions() {
  static const std::vector<Question> all = [] {
    auto out = motor_questions();
    for (auto& q : sheet_questions()) out.push_back(q);
    return out;
  }();
  return all;
}

} // namespace chamber::job
