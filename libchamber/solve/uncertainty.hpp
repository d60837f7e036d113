#pragma once
// Uncertainty of results from that of the measurements: first order (GUM, JCGM 100) and Monte Carlo (JCGM 101).
#include <cstdint>
#include <functional>
#include <span>
#include <string>
#include <vector>

namespace chamber::solve {

/// Distributions of JCGM 101 table 1 that measurements come with.
enum class Spread {
  normal,      ///< mean `value`, standard uncertainty `width`
  student,     ///< scaled and shifted t with `degrees` of freedom, scale `width`
  rectangular, ///< value +- width
  arcsine,     ///< value +- width, U-shaped
  trapezoid,   ///< curvilinear: value +- width, the limit itself uncertain by +- `edge`
};

/// One input as measured.
struct Uncertain {
  std::string name;
  double value = 0, width = 0;
  Spread spread = Spread::normal;
  double degrees = 0, edge = 0;
  std::string advice; ///< what to do if this one decides: "fill it twice"

  /// Standard uncertainty. Student: needs more than 2 degrees of freedom.
  double standard() const;
};

/// Results from inputs, both in fixed order. Must not keep state: it is called from several threads.
using Model = std::function<void(std::span<const double> in, std::span<double> out)>;

struct FirstOrder {
  double value = 0, standard = 0;
  std::vector<double> contributions; ///< standard uncertainty from each input alone
  std::size_t largest = 0;           ///< index of the largest
};

/// Law of propagation with central differences over one standard uncertainty (JCGM 100, 5.1.2 and note 2 of 5.1.3).
std::vector<FirstOrder> first_order(std::span<const Uncertain> inputs, std::size_t outputs, const Model& model);

struct Sampled {
  double mean = 0, standard = 0;
  double low = 0, high = 0; ///< probabilistically symmetric coverage interval
  std::size_t failed = 0;   ///< trials whose result was not finite: left out of all of the above
};

/// Draws `trials` sets of inputs and gives mean, standard deviation and coverage interval of each output. The same seed
/// gives the same result whatever the number of threads.
std::vector<Sampled> monte_carlo(std::span<const Uncertain> inputs, std::size_t outputs, const Model& model,
                                 std::size_t trials, std::uint64_t seed, double coverage);

} // namespace chamber::solve
