#pragma once
// What the JSON reports share.
#include "chamber/job/spec.hpp"
#include <nlohmann/json.hpp>

namespace chamber::job {

using Json = nlohmann::ordered_json;

/// Rounded to what is meant by the number: a volume to 1e-9 cc, a length to a nanometre.
double neat(double value, double step);
/// The inputs in mm, cc, degrees, kPa.
Json inputs_of(const Spec& spec);

} // namespace chamber::job
