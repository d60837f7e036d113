#pragma once
// The plan as program text in the rs274 dialect.
#include "chamber/turning/plan.hpp"
#include <string>

namespace chamber::turning {

/// Writes the program: ASCII, upper case, lines no longer than the machine takes, a final newline. `warning` (if not
/// empty) becomes the first comment: for a program that is written although its proof failed.
/// Coordinates are rounded to the machine's decimals; the centres of arcs are chosen on that grid so that both radii
/// agree and the arc leaves the planned one as little as the grid allows.
std::string write(const Plan& plan, const Machine& machine, const std::string& warning = {});

} // namespace chamber::turning
