// Solves a chamber to 21.5 cc and prints its dimensions, mm and degrees.
#include <chamber/solve/fit.hpp>
#include <cstdio>

int main() {
  using namespace chamber;
  solve::Task task;
  task.frame.family = shapes::Family::spherical;
  task.frame.bore_radius = task.frame.rim_radius = 33.2;
  task.frame.pocket_radius = 7.5;
  // What is preferred, at least and at most: bowl radius, (no bowl depth), squish width and angle, pocket depth.
  task.preferences = {{{28, 24, 60}, {}, {9, 7, 12}, {6, 4, 10}, {2, 1, 4}}};
  task.budget.bore_mm = 66.4;
  task.budget.deck_mm = 1.1;
  task.crank = {72, 130};
  task.body.steps = {{92, 7}, {78, 18}, {44, 14}};  // diameter and length, from the sealing face
  task.plug = {"M14x1.25", 14, 1.25, 19, 1.45, 26}; // pitch, reach, washer, seat
  task.head_cc = 21.5;
  const auto fit = solve::fit(task);
  if (!fit) return std::printf("%s\n", fit.error().note.c_str()), 1;
  for (std::size_t i = 0; i < shapes::dimension_count; ++i)
    if (shapes::has_dimension(task.frame.family, i))
      std::printf("%s %.3f\n", shapes::dimension_names[i].data(), shapes::at(fit->rounded, i));
  std::printf("head_cc %.4f\nclearance_cc %.4f\n", fit->head_cc, task.budget.clearance_from_head_cc(fit->head_cc));
}
