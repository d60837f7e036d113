// draw_profiles OUT SPEC...: every drawing of every spec, and a JSON line a spec with the figures a drawing must hold.
#include "chamber/profile/integrals.hpp"
#include "from_spec.hpp"
#include <fmt/format.h>
#include <iostream>

using namespace chamber;

int main(int argc, char** argv) {
  try {
    const std::filesystem::path out = argv[1];
    std::filesystem::create_directories(out);
    for (int i = 2; i < argc; ++i) {
      const std::string stem = std::filesystem::path(argv[i]).stem().string();
      const auto input = drawing::testing::from_spec(argv[i]);
      for (const auto paper : {drawing::Paper::a4, drawing::Paper::letter})
        for (const auto unit : {drawing::Units::mm, drawing::Units::inch, drawing::Units::both}) {
          auto in = input;
          in.style = {paper, unit,
                      unit == drawing::Units::inch ? drawing::Projection::third_angle
                                                   : drawing::Projection::first_angle};
          const auto name = out / fmt::format("{}-{}-{}", stem, paper == drawing::Paper::a4 ? "a4" : "letter",
                                              unit == drawing::Units::mm     ? "mm"
                                              : unit == drawing::Units::inch ? "inch"
                                                                             : "both");
          std::vector<drawing::Target> targets{{drawing::Format::pdf, name.string() + ".pdf"}};
          if (unit == drawing::Units::mm && paper == drawing::Paper::a4)
            targets.insert(targets.end(), {{drawing::Format::svg, name.string() + ".svg"},
                                           {drawing::Format::png, name.string() + ".png"},
                                           {drawing::Format::dxf, name.string() + ".dxf"}});
          if (const auto done = drawing::draw_insert(in, targets); !done) {
            std::cerr << name.string() << ": " << to_text(done.error()) << '\n';
            return 1;
          }
          if (targets.size() == 1) continue;
          const drawing::Target pieces[] = {{drawing::Format::dxf, name.string() + "-pieces.dxf"}};
          if (!drawing::draw_insert(in, pieces, drawing::Curves::lines_and_arcs)) return 1;
        }
      const auto chain = shapes::chain_of(input.chamber);
      std::cout
          << fmt::format(
                 R"({{"stem": "{}", "volume_mm3": {:.9f}, "head_cc": {:.2f}, "roof_mm": "{:.3f}", "height_mm": {:.2f}, "thread": "{}"}})",
                 stem, profile::swept_volume(profile::ChainView(chain)), input.head_cc, input.chamber.roof_z,
                 input.insert.height_mm, input.plug.thread)
          << '\n';
    }
    return 0;
  } catch (const std::exception& e) {
    std::cerr << e.what() << '\n';
    return 1;
  }
}
