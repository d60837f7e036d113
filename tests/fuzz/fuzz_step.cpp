// What stands between a foreign STEP file and the program: the look at its text, and the answer of the process that
// measures it, which may die with half a word.
#include "chamber/solid/foreign_wire.hpp"
#include "chamber/solid/step_text.hpp"
#include "target.hpp"
#include <sstream>

namespace chamber::fuzz {

void step(std::string_view bytes) {
  std::istringstream in{std::string(bytes)};
  const auto ok = solid::check_step_text(in, bytes.size());
  if (!ok) return check_problem(ok.error());
  promise(bytes.find("ISO-10303-21;") != std::string_view::npos &&
              bytes.find("END-ISO-10303-21") != std::string_view::npos,
          "taken for a STEP file");
}

void answer(std::string_view bytes) {
  using namespace solid;
  const auto a = wire::unpack<wire::Answer>(bytes);
  if (!a) return;
  promise(a->measured.body == Body::insert || a->measured.body == Body::cavity, "a body there is not");
  for (const auto* chain : {&a->measured.chain, &a->measured.turned_rim})
    for (const auto& s : *chain) promise(s.kind <= profile::Kind::cw, "a segment of no kind");
  promise(wire::pack(*a) == bytes, "not the same when packed again");
}

} // namespace chamber::fuzz
