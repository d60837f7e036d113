#include "chamber/job/guideline_read.hpp"
#include "chamber/job/intake_question.hpp"

namespace chamber::job {
namespace {

constexpr std::array<std::string_view, 3> head_ways{"filled", "weighed", "not measured"};
constexpr std::array<std::string_view, 3> fills{"plug fitted", "to the bottom of the plug hole",
                                                "to the top of the plug hole"};
constexpr std::array<std::string_view, 2> valves{"at the plug", "behind a hose"};
constexpr std::array<std::string_view, 3> airs{"altitude", "barometer there", "weather report"};
constexpr std::array<std::string_view, 2> coolings{"water", "air"};
constexpr std::array<std::string_view, 5> wants{"the guideline decides", "head volume", "clearance volume",
                                                "trapped ratio", "gauge pressure"};

template <auto member>
std::span<const std::string_view> names_of_guideline() {
  static const std::vector<std::string_view> names = [] {
    std::vector<std::string_view> out;
    for (const auto& row : built_in_guideline().*member)
      if constexpr (std::is_same_v<decltype(row), const engine::FuelRow&>)
        out.push_back(row.fuel);
      else
        out.push_back(row.use);
    return out;
  }();
  return names;
}

/// How the air was known, and the figures that go with it.
void add_air(std::vector<Question>& out, std::string_view section, std::string_view gate, std::string_view way) {
  using A = Answer;
  out.push_back(
      ask(section, "air_by", "How do you know the air there?", A::choice)
          .of(airs)
          .only_asked()
          .when(gate, "*")
          .why("A barometer read on the spot is best. A weather report's pressure is reduced to sea level and is\n"
               "converted. The altitude alone stands for an average day."));
  out.push_back(ask(section, "altitude", "At what altitude?", A::altitude)
                    .within(-500, 6000)
                    .when(way, "altitude|barometer there|weather report")
                    .why("A map will do. With a barometer it shows whether the figure can be true."));
  out.push_back(ask(section, "station_pressure", "What does the barometer show?", A::pressure)
                    .within(50, 110)
                    .when(way, "barometer there")
                    .why("Not set to sea level: at 1500 m it shows about 845 hPa."));
  out.push_back(ask(section, "sea_level_pressure", "What pressure does the report give?", A::pressure)
                    .within(87, 110)
                    .when(way, "weather report")
                    .why("Near 1013 hPa or 29.92 inHg wherever you are."));
}

void add_head(std::vector<Question>& out, std::string_view section, std::string_view gate, std::string_view answers,
              std::string_view way, std::string_view first, std::span<const std::string_view> ways) {
  using A = Answer;
  auto by =
      ask(section, "head_by", first, A::choice)
          .of(ways)
          .only_asked()
          .why("Filled with a burette or syringe under a clear plate, or with water and the scales before and after.");
  out.push_back(gate.empty() ? by : by.when(gate, answers));
  out.push_back(
      ask(section, "head_volume", "How much did it take?", A::volume)
          .within(1, 300)
          .when(way, "filled")
          .why("Burette and a clear plate over the sealing face, no bubble. Fill it twice and take the mean."));
  out.push_back(ask(section, "water", "How much water did it take, on the scales?", A::mass)
                    .within(1, 300)
                    .when(way, "weighed")
                    .why("Full less empty. Clean water, no bubble."));
  out.push_back(ask(section, "water_temperature", "How warm was the water?", A::temperature)
                    .may_skip()
                    .within(1, 40)
                    .when(way, "weighed")
                    .why("Skipped, 20 C is taken."));
  out.push_back(ask(section, "filled", "To where was it filled?", A::choice)
                    .of(fills)
                    .when(way, "filled|weighed")
                    .why("Without this the figure is worth little: the plug hole holds 2 cc or more."));
}

constexpr std::array<std::string_view, 3> other_heads{"today's head", "filled", "weighed"};

} // namespace

std::vector<Question> sheet_questions() {
  using A = Answer;
  std::vector<Question> out;
  add_head(out, "today", "", "", "today.head_by", "How was today's head measured?", head_ways);
  out.push_back(ask("today", "plug_hole_length", "How long is the plug hole of that head, roof to seat?", A::length)
                    .may_skip()
                    .within(2, 50)
                    .when("today.head_by", "filled|weighed")
                    .why("Skipped, the plug's reach less its washer is taken."));
  out.push_back(ask("today", "plug_tip", "How much does the plug's tip displace inside the chamber?", A::volume)
                    .may_skip()
                    .within(0, 3)
                    .when("today.head_by", "filled|weighed")
                    .why("Electrode and insulator beyond the thread's end, less the hollow round the insulator: 0 to "
                         "0.3 cc. Skip it\n"
                         "if it is not known."));
  out.push_back(ask("gauge", "check_valve", "Where does the compression gauge have its check valve?", A::choice)
                    .of(valves)
                    .may_skip()
                    .why("A hose before the valve makes it read low. Skip it if there is no reading."));
  out.push_back(ask("gauge", "extra_volume", "What do hose and adaptor hold before the valve?", A::volume)
                    .within(0, 50)
                    .when("gauge.check_valve", "behind a hose")
                    .why("Fill them with water from a syringe."));
  out.push_back(ask("today", "pressure", "Today's cranking pressure, with that head?", A::pressure)
                    .may_skip()
                    .within(200, 4000)
                    .when("today.head_by", "filled|weighed")
                    .why("Warm motor, throttle wide open, kicked until the needle stops. Ignition off. Skip it if it "
                         "was not taken."));
  add_air(out, "today", "today.pressure", "today.air_by");

  out.push_back(
      ask("reading", "name", "Another cranking reading of this motor? (a name; empty when there is none)", A::text)
          .may_skip()
          .repeats()
          .when("today.head_by", "filled|weighed")
          .why("Readings at two or more altitudes tell how this motor's pressure falls with altitude."));
  out.push_back(ask("reading", "pressure", "What did the gauge read?", A::pressure)
                    .within(200, 4000)
                    .when("reading.name", "*")
                    .why("The same gauge, the throttle wide open."));
  add_air(out, "reading", "reading.name", "reading.air_by");
  add_head(out, "reading", "reading.name", "*", "reading.head_by", "With which head?", other_heads);

  out.push_back(ask("use", "fuel", "Which fuel?", A::choice)
                    .of(names_of_guideline<&engine::Guideline::fuels>())
                    .why("Sets ratio ceiling and gauge window: common practice, starting points only."));
  out.push_back(ask("use", "kind", "What does it do?", A::choice)
                    .of(names_of_guideline<&engine::Guideline::uses>())
                    .why("Long full-throttle pulls want less than short bursts."));
  out.push_back(ask("use", "cooling", "Cooled by?", A::choice).of(coolings).may_skip().why("Skipped, water is taken."));

  out.push_back(ask("site", "name", "Where will it run? (a name; empty when there are no more places)", A::text)
                    .may_skip()
                    .repeats()
                    .at_least_once()
                    .why("One insert is worked out for each place."));
  add_air(out, "site", "site.name", "site.air_by");
  out.push_back(ask("site", "temperature", "How warm is it there?", A::temperature)
                    .may_skip()
                    .within(-40, 55)
                    .when("site.name", "*")
                    .why("For the air's density. Skip it for a standard day."));
  out.push_back(ask("site", "humidity", "How humid?", A::ratio)
                    .may_skip()
                    .within(0, 1)
                    .when("site.name", "*")
                    .why("\"40 %\". Skip it for dry air."));

  out.push_back(ask("want", "what", "Does the customer want a figure of his own?", A::choice)
                    .of(wants)
                    .only_asked()
                    .may_skip()
                    .why("It overrides the guideline, and he is told how far he stands from it."));
  out.push_back(ask("want", "head_volume", "How much shall the head hold, plug fitted?", A::volume)
                    .within(1, 300)
                    .when("want.what", "head volume")
                    .why("With the plug screwed in, over the sealing face."));
  out.push_back(ask("want", "clearance_volume", "How much clearance volume?", A::volume)
                    .within(1, 300)
                    .when("want.what", "clearance volume")
                    .why("All that is left over the piston at top dead centre."));
  out.push_back(ask("want", "trapped_ratio", "Which trapped ratio?", A::ratio)
                    .within(2, 25)
                    .when("want.what", "trapped ratio")
                    .why("From exhaust closing: \"8.5:1\"."));
  out.push_back(ask("want", "gauge_pressure", "Which cranking pressure at the site?", A::pressure)
                    .within(200, 4000)
                    .when("want.what", "gauge pressure")
                    .why("As the customer's gauge reads it."));
  return out;
}

} // namespace chamber::job
