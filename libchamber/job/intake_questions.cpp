#include "chamber/job/guideline_read.hpp"
#include "chamber/job/intake.hpp"
#include <array>

namespace chamber::job {
namespace {

constexpr std::array<std::string_view, 3> crowns{"flat", "domed", "dished"};
constexpr std::array<std::string_view, 2> seals{"o-ring", "gasket"};
constexpr std::array<std::string_view, 3> threads{"M14x1.25", "M12x1.25", "M10x1"};
constexpr std::array<std::string_view, 3> fills{"plug fitted", "to the bottom of the plug hole",
                                                "to the top of the plug hole"};
constexpr std::array<std::string_view, 2> valves{"at the plug", "behind a hose"};
constexpr std::array<std::string_view, 2> coolings{"water", "air"};
constexpr std::array<std::string_view, 2> yes_no{"yes", "no"};

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

std::vector<Question> all_questions() {
  using A = Answer;
  const auto fuels = names_of_guideline<&engine::Guideline::fuels>(),
             uses = names_of_guideline<&engine::Guideline::uses>();
  return {
      {"job", "name", "What shall the job be called?",
       "Goes into file names, drawing and program: plain letters and digits.", A::text, false},
      {"job", "customer", "Whose motor is it?", "For your own records.", A::text, true},
      {"engine", "bore", "Bore?", "Cylinder diameter, measured below the exhaust port where the ring has not worn it.",
       A::length, false, 20, 200},
      {"engine", "stroke", "Stroke?", "From the maker's data, or the piston's travel by depth gauge.", A::length, false,
       20, 200},
      {"engine", "rod", "Rod length, centre to centre?",
       "Moves the trapped volume a little. Skip it if unknown: 1.85 x stroke is then assumed.", A::length, true, 30,
       500},
      {"engine", "power_valve", "Is there a power valve?",
       "It gives the exhaust two durations: a gauge sees the shut one, peak power the open one.", A::choice, false, 0,
       0, yes_no},
      {"engine",
       "exhaust_duration",
       "Exhaust duration?",
       "Degree wheel, port edge opening to port edge closing, in crank degrees.",
       A::angle,
       false,
       100,
       240,
       {},
       "power_valve",
       "no"},
      {"engine",
       "exhaust_valve_shut",
       "Exhaust duration, power valve shut?",
       "As it is at kicking speed: hold the valve down.",
       A::angle,
       false,
       100,
       240,
       {},
       "power_valve",
       "yes"},
      {"engine",
       "exhaust_valve_open",
       "Exhaust duration, power valve open?",
       "Valve held fully open.",
       A::angle,
       false,
       100,
       240,
       {},
       "power_valve",
       "yes"},
      {"engine", "peak_power", "Speed of peak power?", "For the squish velocity. Skip it if unknown.", A::rotation,
       true, 500, 30000},
      {"engine", "deck", "How far does the piston's edge stand below or above the cylinder's top at top dead centre?",
       "Depth gauge over two equal blocks: reading less block is how far below. Say \"0.35 mm below\", \"0.010 in "
       "above\" or \"level\".",
       A::height, false, -15, 15},
      {"crown", "form", "Piston crown?", "Lay a straight edge across it.", A::choice, false, 0, 0, crowns},
      {"crown",
       "height",
       "How high does the dome stand over its edge (or deep the dish)?",
       "Depth gauge from the centre to the edge.",
       A::length,
       false,
       0.01,
       60,
       {},
       "form",
       "domed|dished"},
      {"seal", "kind", "What seals the head?", "An O-ring head has no gasket volume.", A::choice, false, 0, 0, seals},
      {"seal", "bore", "Gasket bore?", "The hole in the gasket.", A::length, false, 20, 240, {}, "kind", "gasket"},
      {"seal",
       "thickness",
       "Gasket thickness, compressed?",
       "Measure a used one.",
       A::length,
       false,
       0.05,
       6,
       {},
       "kind",
       "gasket"},
      {"plug", "thread", "Plug thread?", "", A::choice, false, 0, 0, threads},
      {"plug", "reach", "Plug reach?", "Thread length from the seat: 19 mm, 3/4 in.", A::length, false, 5, 40},
      {"today", "head_volume", "How much does today's head hold?",
       "Burette and a clear plate over the sealing face. Skip it if it was not measured.", A::volume, true, 1, 300},
      {"today", "filled", "To where was it filled?",
       "Without this the figure is worth little: the plug hole holds 2 cc or more.", A::choice, false, 0, 0, fills,
       "head_volume", "*"},
      {"gauge", "check_valve", "Where does the compression gauge have its check valve?",
       "A hose before the valve makes it read low.", A::choice, true, 0, 0, valves},
      {"gauge",
       "extra_volume",
       "What do hose and adaptor hold before the valve?",
       "Fill them with water from a syringe.",
       A::volume,
       false,
       0,
       50,
       {},
       "check_valve",
       "behind a hose"},
      {"today",
       "pressure",
       "Today's cranking pressure?",
       "Throttle wide open, kicked until the needle stops. Skip it if it was not taken.",
       A::pressure,
       true,
       200,
       4000,
       {},
       "head_volume",
       "*"},
      {"today",
       "altitude",
       "At what altitude was it taken?",
       "A map will do; a barometer is better (edit the spec).",
       A::altitude,
       false,
       -500,
       6000,
       {},
       "pressure",
       "*"},
      {"use", "fuel", "Which fuel?", "Sets ratio ceiling and gauge window: common practice, starting points only.",
       A::choice, false, 0, 0, fuels},
      {"use", "kind", "What does it do?", "Long full-throttle pulls want less than short bursts.", A::choice, false, 0,
       0, uses},
      {"use", "cooling", "Cooled by?", "", A::choice, true, 0, 0, coolings},
      {"site", "name", "Where will it run? (a name; empty when there are no more places)",
       "One insert is worked out for each place.", A::text, true},
      {"site", "altitude", "At what altitude?", "", A::altitude, false, -500, 6000, {}, "name", "*"},
      {"site",
       "temperature",
       "How warm is it there?",
       "For the air's density. Skip it for a standard day.",
       A::temperature,
       true,
       -40,
       55,
       {},
       "name",
       "*"},
      {"site", "humidity", "How humid?", "\"40 %\". Skip it for dry air.", A::percent, true, 0, 1, {}, "name", "*"},
  };
}

} // namespace

std::span<const Question> questions() {
  static const std::vector<Question> all = all_questions();
  return all;
}

} // namespace chamber::job
