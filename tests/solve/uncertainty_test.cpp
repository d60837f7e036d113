#include "chamber/solve/uncertainty.hpp"
#include <catch2/catch.hpp>
#include <cmath>

using namespace chamber::solve;

TEST_CASE("uncertainty: JCGM 101's gauge block", "[uncertainty]") {
  // Source: JCGM 101:2008, 9.5, end-gauge calibration: 838 nm, standard uncertainty 36 nm, shortest 99 % interval
  // [745, 932] nm (results seen; the inputs of its table 10 from memory).
  const double nominal = 50e6; // nm
  const std::vector<Uncertain> in{{"standard", 50000623, 25, Spread::student, 18, 0, ""},
                                  {"difference", 215, 6, Spread::student, 24, 0, ""},
                                  {"random", 0, 4, Spread::student, 5, 0, ""},
                                  {"systematic", 0, 7, Spread::student, 8, 0, ""},
                                  {"expansion", 11.5e-6, 2e-6, Spread::rectangular, 0, 0, ""},
                                  {"mean temperature", -0.1, 0.2, Spread::normal, 0, 0, ""},
                                  {"cycle", 0, 0.5, Spread::arcsine, 0, 0, ""},
                                  {"expansion difference", 0, 1e-6, Spread::trapezoid, 0, 0.1e-6, ""},
                                  {"temperature difference", 0, 0.05, Spread::trapezoid, 0, 0.025, ""}};
  const Model model = [&](std::span<const double> x, std::span<double> y) {
    y[0] = x[0] + x[1] + x[2] + x[3] - x[0] * (x[7] * (x[5] + x[6]) + x[4] * x[8]) - nominal;
  };
  const auto r = monte_carlo(in, 1, model, 400000, 1, 0.99)[0];
  CHECK(r.mean == Approx(838).margin(0.5));
  CHECK(r.standard == Approx(36).margin(0.5));
  CHECK(r.low == Approx(745).margin(2.5));
  CHECK(r.high == Approx(932).margin(2.5));
  // The law of propagation gives 32 nm there, since it drops the second-order term (JCGM 101, 9.5.3).
  CHECK(first_order(in, 1, model)[0].standard == Approx(32).margin(2.1));
}

TEST_CASE("uncertainty: a linear model by hand", "[uncertainty]") {
  // y = 2a - b: variances add, 4 * 9 + 16 = 52; a decides.
  const std::vector<Uncertain> in{{"a", 10, 3, Spread::normal, 0, 0, ""}, {"b", 1, 4, Spread::normal, 0, 0, ""}};
  const Model model = [](std::span<const double> x, std::span<double> y) { y[0] = 2 * x[0] - x[1]; };
  const auto first = first_order(in, 1, model)[0];
  CHECK(first.value == 19);
  CHECK(first.standard == Approx(std::sqrt(52.0)));
  CHECK(first.largest == 0);
  const auto sampled = monte_carlo(in, 1, model, 200000, 7, 0.95)[0];
  CHECK(sampled.standard == Approx(std::sqrt(52.0)).epsilon(0.01));
  CHECK(sampled.high - sampled.low == Approx(2 * 1.959964 * std::sqrt(52.0)).epsilon(0.01));
}

TEST_CASE("uncertainty: every distribution has the spread it says", "[uncertainty]") {
  const Model same = [](std::span<const double> x, std::span<double> y) { y[0] = x[0]; };
  for (const Uncertain& u :
       {Uncertain{"", 5, 2, Spread::normal, 0, 0, ""}, Uncertain{"", 5, 2, Spread::student, 12, 0, ""},
        Uncertain{"", 5, 2, Spread::rectangular, 0, 0, ""}, Uncertain{"", 5, 2, Spread::arcsine, 0, 0, ""},
        Uncertain{"", 5, 2, Spread::trapezoid, 0, 0.5, ""}}) {
    const auto r = monte_carlo({&u, 1}, 1, same, 200000, 3, 0.95)[0];
    CHECK(r.mean == Approx(5).margin(0.02));
    CHECK(r.standard == Approx(u.standard()).epsilon(0.01));
  }
}

TEST_CASE("uncertainty: the seed decides", "[uncertainty]") {
  const Uncertain u{"", 0, 1, Spread::normal, 0, 0, ""};
  const Model same = [](std::span<const double> x, std::span<double> y) { y[0] = x[0]; };
  const auto a = monte_carlo({&u, 1}, 1, same, 20000, 11, 0.95)[0],
             b = monte_carlo({&u, 1}, 1, same, 20000, 11, 0.95)[0],
             c = monte_carlo({&u, 1}, 1, same, 20000, 12, 0.95)[0];
  CHECK(a.mean == b.mean);
  CHECK(a.low == b.low);
  CHECK(a.mean != c.mean);
}

TEST_CASE("uncertainty: trials without an answer are counted and left out", "[uncertainty]") {
  // By hand: the square root of a normal variate about 0 exists for half of them; its mean square is that of the half
  // normal, sqrt(2 / pi).
  const Uncertain u{"", 0, 1, Spread::normal, 0, 0, ""};
  const Model root = [](std::span<const double> x, std::span<double> y) { y[0] = std::sqrt(x[0]); };
  const auto r = monte_carlo({&u, 1}, 1, root, 100000, 5, 0.95)[0];
  CHECK(static_cast<double>(r.failed) == Approx(50000).epsilon(0.02));
  CHECK(r.mean * r.mean + r.standard * r.standard == Approx(std::sqrt(2 / 3.14159265358979)).epsilon(0.02));
}
