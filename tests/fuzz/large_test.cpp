// Files of a megabyte and more that repeat one thing: read or refused in a moment, in bounded memory, in few words.
#include "../processor_time.hpp"
#include "chamber/turning/leftover.hpp"
#include "target.hpp"
#include <catch2/catch.hpp>
#include <functional>
#include <sys/resource.h>

using namespace chamber;
using namespace chamber::fuzz;

namespace {

#if defined(CHAMBER_SANITIZED)
constexpr double slow = 10;
constexpr long most_kb = 4'000'000;
#else
constexpr double slow = 1;
constexpr long most_kb = 512 * 1024;
#endif
constexpr std::size_t spec_bytes = 1 << 20; ///< specs and programs are not read beyond this

/// Every case is a process of its own, so that the memory it took at most is this one's.
void feed(std::string_view name, void (*take)(std::string_view), const std::string& bytes, double limit_s = 3) {
  INFO(name);
  const double from = processor_s();
  CHECK_NOTHROW(take(bytes));
  const double took = processor_s() - from;
  CHECK(took < limit_s * slow);
  rusage used{};
  getrusage(RUSAGE_SELF, &used);
  CHECK(used.ru_maxrss < most_kb);
}

std::string times(std::size_t n, const std::function<std::string(std::size_t)>& piece) {
  std::string out;
  for (std::size_t i = 0; i < n; ++i) out += piece(i);
  return out;
}
std::string times(std::size_t n, std::string_view piece) {
  return times(n, [&](std::size_t) { return std::string(piece); });
}
/// As many as fit into what is read.
std::string filled(std::string_view piece) {
  return times(spec_bytes / piece.size(), piece);
}
std::string numbered(std::string_view before, std::string_view after) {
  std::string out;
  for (std::size_t i = 0; out.size() + 40 < spec_bytes; ++i)
    out += std::string(before) + std::to_string(i) + std::string(after);
  return out;
}
std::string tag(int code, const std::string& value) {
  return std::to_string(code) + "\n" + value + "\n";
}
std::string in_entities(const std::string& body) {
  return tag(0, "SECTION") + tag(2, "ENTITIES") + body + tag(0, "ENDSEC") + tag(0, "EOF");
}
std::string line_entity(const std::string& layer, std::size_t i) {
  const auto n = [](std::size_t k) { return std::to_string(k); };
  return tag(0, "LINE") + tag(8, layer) + tag(10, n(i)) + tag(20, n(i % 977)) + tag(11, n(i + 1)) +
         tag(21, n((i + 1) % 977));
}

} // namespace

TEST_CASE("large: TOML deep") {
  for (const auto take : {spec, sheet, guideline, lathe}) {
    feed("lists in lists", take, "a = " + std::string(spec_bytes - 4, '['));
    feed("tables in tables", take, "a = " + filled("{a="));
    feed("dotted keys", take, "a" + filled(".a") + " = 1");
    feed("dotted tables", take, "[a" + filled(".a") + "]");
    feed("quoted dotted tables", take, "[a" + filled(".\"[\"") + "]");
    feed("dotted tables again and again", take, numbered("[a.a.a.a.a.a.a.", "]\n"));
    feed("dotted keys in tables in tables", take, "a = " + times(250, "{a.a.a.a.a.a.a = ") + times(250, "}"));
    feed("dots of a text", take, "a = \"" + filled(".a") + "\"");
  }
}

TEST_CASE("large: TOML wide") {
  for (const auto take : {spec, sheet, guideline, lathe}) {
    feed("keys nobody knows", take, numbered("k", " = 1\n"));
    feed("keys nobody knows of one table", take, "[engine]\n" + numbered("bor", " = 1\n"));
    feed("tables nobody knows", take, numbered("[t", "]\n"));
    feed("one long name", take, "[" + std::string(spec_bytes / 2, 'a') + "]\n" + times(40000, [](std::size_t i) {
                                  return "k" + std::to_string(i) + "=\"\"\n";
                                }));
    feed("long names", take,
         times(10, [](std::size_t i) { return std::string(100000, static_cast<char>('a' + i)) + " = \"\"\n"; }));
    feed("one long text", take, "[engine]\nbore = \"" + std::string(spec_bytes - 40, '1') + "\"");
    feed("one long number", take, "[lathe]\nprogram = " + std::string(spec_bytes - 40, '1'));
    feed("many tools", take, filled("[[tool]]\n"));
    feed("many of the list", take, filled("[[site]]\n"));
    feed("many fuels", take, filled("[[fuel]]\n"));
    feed("many steps", take, filled("[[body.step]]\n"));
    feed("a list of numbers", take, "tool = [" + filled("1,") + "]");
    feed("comments", take, filled("#.\n"));
    feed("no lines", take, std::string(spec_bytes, ' '));
    feed("quotes", take, filled("\"\"\"\n"));
  }
}

TEST_CASE("large: DXF") {
  const auto vertex = [](std::size_t i) {
    return tag(0, "VERTEX") + tag(10, std::to_string(i % 1000)) + tag(20, std::to_string(i / 1000));
  };
  feed("a million vertices", dxf, in_entities(tag(0, "POLYLINE") + times(1'000'000, vertex) + tag(0, "SEQEND")));
  feed("a million vertices of one entity", dxf, in_entities(tag(0, "LWPOLYLINE") + times(1'000'000, [](std::size_t i) {
                                                              return tag(10, std::to_string(i % 1000)) +
                                                                     tag(20, std::to_string(i / 1000));
                                                            })));
  feed("as many lines as are taken", dxf, in_entities(times(99'000, [](std::size_t i) { return line_entity("0", i); })),
       6);
  feed("every line on a layer of its own", dxf,
       in_entities(times(50'000, [](std::size_t i) { return line_entity(std::to_string(i), i); })), 6);
  feed("lines apart on layers of their own", dxf,
       in_entities(times(50'000, [](std::size_t i) { return line_entity(std::to_string(i), 2 * i); })), 6);
  feed("layers with long names", dxf,
       in_entities(times(500,
                         [](std::size_t i) {
                           return line_entity(std::string(8000, static_cast<char>('a' + i % 26)) + std::to_string(i),
                                              i);
                         })),
       6);
  feed("one line over another", dxf, in_entities(times(60'000, [](std::size_t) { return line_entity("0", 7); })), 6);
  feed("comments", dxf, times(500'000, tag(999, "and so on")));
  feed("inserts", dxf,
       tag(0, "SECTION") + tag(2, "BLOCKS") + tag(0, "BLOCK") + tag(2, "B") + line_entity("0", 1) + tag(0, "ENDBLK") +
           tag(0, "ENDSEC") + in_entities(times(90'000, tag(0, "INSERT") + tag(2, "B"))),
       6);
}

TEST_CASE("large: points") {
  feed("a million rows", points,
       times(1'000'000,
             [](std::size_t i) { return std::to_string(40 - i * 4e-5) + "," + std::to_string(i % 7) + "\n"; }),
       6);
  feed("a million rows on a line", points,
       times(1'000'000,
             [](std::size_t i) { return std::to_string(40 - i * 4e-5) + "," + std::to_string(i * 2e-5) + "\n"; }),
       6);
  feed("one long row", points, "1,2\n" + times(1'000'000, "1,"));
  feed("titles", points, times(1'000'000, "title\n"));
  feed("comments", points, times(1'000'000, "# more\n"));
  feed("the same point", points, times(1'000'000, "1,2\n"));
}

TEST_CASE("large: lathe programs") {
  const std::string start = "%\nO1\nG18\nG7\nG21\nG40 G80 G90\nG54\nG97 S500\nG0 Z120.0\nG0 X120.0\n";
  const std::string tool = "T3 M6 G43\nG96 D2500 S220 M3\nG95\nG0 X60.0 Z2.0\nG1 X60.0 Z0.0 F0.12\n";
  const std::string end = "G0 X11.0\nG0 Z120.0\nG0 X120.0\nG97 S500\nM5\nM30\n%\n";
  feed("a million lines", program, times(1'000'000, "G0\n"));
  feed("one long line", program, "%\n" + times(1'000'000, "G0 "));
  feed("comments", program, start + times(300'000, "(and so on)\n") + end);
  feed("moves", program,
       start + tool + times(80'000, [](std::size_t i) { return i % 2 ? "G1 X11.0\n" : "G1 X12.0\n"; }) + end);
  feed("calls", program, start + times(10'000, "T3 M6 G43\nG97 S500 M3\nG95\nM5\n") + end);
}

TEST_CASE("large: sweeps") {
  const std::string start =
      "%\nO1\nG18\nG7\nG21\nG40 G80 G90\nG54\nG97 S500\nG0 Z120.0\nG0 X120.0\n"
      "T1 M6 G43\nG97 S1500 M3\nG95\nG0 X0.0 Z2.0\nG1 X0.0 Z-45.0 F0.15\nG0 Z120.0\nG0 X120.0\nM5\n"
      "T3 M6 G43\nG96 D2500 S220 M3\nG95\nG0 X60.0 Z2.0\nG1 X60.0 Z0.0 F0.12\nG1 X48.0 Z-1.0\n";
  const std::string end = "G0 X11.0\nG0 Z5.0\nG0 Z120.0\nG0 X120.0\nG97 S500\nM5\nM30\n%\n";
  const auto take = [](std::string_view text) {
    const auto program = turning::read(text, turning::Machine{});
    promise(program.has_value(), "the program does not read");
    const auto left = turning::leftover(*program, turning::example_whole_tools(), {});
    left ? check_profile(left->chain) : check_problem(left.error());
  };
  const auto zigzag = [&](std::size_t n, std::string_view out) {
    return start +
           times(n,
                 [&](std::size_t i) {
                   return "G1 X" + std::string(i % 2 ? out : "14.0") + " Z-" +
                          std::to_string(1 + static_cast<double>(i % 9000) / 1000) + "\n";
                 }) +
           end;
  };
  feed("to and fro", take, zigzag(10'000, "46.0"), 6);
  feed("as wide as is taken", take, zigzag(700, "580.0"), 6);
  feed("more passes than any chamber takes", take, zigzag(50'000, "580.0"));
  feed("wider", take, zigzag(40'000, "1900.0"), 6);
}

TEST_CASE("large: logs and answers") {
  feed("torn lines", log, times(1'000'000, "{\n"));
  feed("one line", log, std::string(20'000'000, '['));
  feed("lists in lists", log, times(100, std::string(65'000, '[') + "\n"));
  feed("help", intake, times(500'000, "?\n"));
  feed("back and on", intake, times(300'000, "x\nback\n"));
  feed("one long answer", intake, std::string(2'000'000, 'x'));
}

TEST_CASE("large: quantities and kinds") {
  feed("digits", quantity, std::string(1, '\0') + std::string(1'000'000, '9') + " mm");
  feed("blanks", quantity, std::string(1, '\0') + std::string(1'000'000, ' ') + "1 mm");
  feed("a unit", quantity, std::string(1, '\0') + "1 " + std::string(1'000'000, 'm'));
  feed("lines", kind, "x\n" + std::string(8192, '\n'));
  feed("words", kind, "x\n" + times(4096, "G0"));
}
