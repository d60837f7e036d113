#include "chamber/solve/uncertainty.hpp"
#include <algorithm>
#include <cmath>
#include <future>
#include <random>
#include <thread>

namespace chamber::solve {
namespace {

constexpr double pi = 3.14159265358979323846;
constexpr std::size_t block = 5000; ///< trials drawn from one seeded stream

/// Own transforms of the standard's generator: the library's distributions differ from one to the next.
class Draw {
public:
  explicit Draw(std::uint64_t seed) : engine_(seed) {}

  double operator()(const Uncertain& u) {
    switch (u.spread) {
    case Spread::normal:
      return u.value + u.width * normal();
    case Spread::student:
      return u.value + u.width * normal() / std::sqrt(chi_squared(u.degrees) / u.degrees);
    case Spread::rectangular:
      return u.value + u.width * (2 * uniform() - 1);
    case Spread::arcsine:
      return u.value + u.width * std::sin(2 * pi * uniform());
    case Spread::trapezoid: {
      // JCGM 101, 6.4.3: the half width is itself rectangular in width +- edge.
      const double half = u.width + u.edge * (2 * uniform() - 1);
      return u.value + half * (2 * uniform() - 1);
    }
    }
    return u.value;
  }

private:
  double uniform() { return (static_cast<double>(engine_() >> 11) + 0.5) * 0x1p-53; }

  /// Marsaglia's polar method: two at a time.
  double normal() {
    if (have_) {
      have_ = false;
      return spare_;
    }
    double x, y, s;
    do {
      x = 2 * uniform() - 1;
      y = 2 * uniform() - 1;
      s = x * x + y * y;
    } while (s >= 1 || s == 0);
    const double k = std::sqrt(-2 * std::log(s) / s);
    spare_ = y * k;
    have_ = true;
    return x * k;
  }

  double chi_squared(double degrees) {
    double sum = 0;
    for (int i = 0; i < static_cast<int>(degrees); ++i) {
      const double z = normal();
      sum += z * z;
    }
    return sum;
  }

  std::mt19937_64 engine_;
  double spare_ = 0;
  bool have_ = false;
};

Sampled summarise(std::vector<double>& values, double coverage) {
  Sampled s;
  s.failed = values.size();
  std::erase_if(values, [](double v) { return !std::isfinite(v); });
  s.failed -= values.size();
  if (values.size() < 2) {
    s.mean = s.standard = s.low = s.high = std::nan("");
    return s;
  }
  const auto n = static_cast<double>(values.size());
  for (const double v : values) s.mean += v / n;
  for (const double v : values) s.standard += (v - s.mean) * (v - s.mean);
  s.standard = std::sqrt(s.standard / (n - 1));
  const auto rank = [&](double p) {
    const auto i = static_cast<std::size_t>(std::clamp(p * n, 0.0, n - 1));
    std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(i), values.end());
    return values[i];
  };
  s.low = rank((1 - coverage) / 2);
  s.high = rank((1 + coverage) / 2);
  return s;
}

} // namespace

double Uncertain::standard() const {
  switch (spread) {
  case Spread::normal:
    return width;
  case Spread::student:
    return width * std::sqrt(degrees / (degrees - 2));
  case Spread::rectangular:
    return width / std::sqrt(3.0);
  case Spread::arcsine:
    return width / std::sqrt(2.0);
  case Spread::trapezoid:
    return std::sqrt(width * width / 3 + edge * edge / 9);
  }
  return width;
}

namespace {

/// Central difference; one-sided where the model has no answer on the other side; not known where it has none at all.
double slope_times(double up, double centre, double down) {
  if (std::isfinite(up) && std::isfinite(down)) return std::abs(up - down) / 2;
  return std::isfinite(up) ? std::abs(up - centre) : std::abs(down - centre);
}

} // namespace

std::vector<FirstOrder> first_order(std::span<const Uncertain> inputs, std::size_t outputs, const Model& model) {
  std::vector<double> in;
  for (const auto& u : inputs) in.push_back(u.value);
  std::vector<double> centre(outputs), up(outputs), down(outputs);
  model(in, centre);
  std::vector<FirstOrder> out(outputs);
  for (std::size_t k = 0; k < outputs; ++k) out[k].value = centre[k];
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    const double u = inputs[i].standard();
    in[i] = inputs[i].value + u;
    model(in, up);
    in[i] = inputs[i].value - u;
    model(in, down);
    in[i] = inputs[i].value;
    for (std::size_t k = 0; k < outputs; ++k)
      out[k].contributions.push_back(u > 0 ? slope_times(up[k], centre[k], down[k]) : 0.0);
  }
  for (auto& o : out) {
    double sum = 0;
    for (std::size_t i = 0; i < o.contributions.size(); ++i) {
      sum += o.contributions[i] * o.contributions[i];
      if (o.contributions[i] > o.contributions[o.largest]) o.largest = i;
    }
    o.standard = std::sqrt(sum);
  }
  return out;
}

std::vector<Sampled> monte_carlo(std::span<const Uncertain> inputs, std::size_t outputs, const Model& model,
                                 std::size_t trials, std::uint64_t seed, double coverage) {
  std::vector<std::vector<double>> results(outputs, std::vector<double>(trials));
  const std::size_t blocks = (trials + block - 1) / block;
  const auto work = [&](std::size_t first, std::size_t step) {
    std::vector<double> in(inputs.size()), out(outputs);
    for (std::size_t b = first; b < blocks; b += step) {
      std::seed_seq sequence{static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32),
                             static_cast<std::uint32_t>(b)};
      std::uint32_t words[2];
      sequence.generate(words, words + 2);
      Draw draw(std::uint64_t{words[0]} << 32 | words[1]);
      for (std::size_t t = b * block; t < std::min(trials, (b + 1) * block); ++t) {
        for (std::size_t i = 0; i < inputs.size(); ++i) in[i] = draw(inputs[i]);
        model(in, out);
        for (std::size_t k = 0; k < outputs; ++k) results[k][t] = out[k];
      }
    }
  };
  const std::size_t threads = std::clamp<std::size_t>(std::thread::hardware_concurrency(), 1, 16);
  const auto on_all_cores = [threads](const auto& part) {
    std::vector<std::future<void>> running;
    for (std::size_t i = 1; i < threads; ++i) running.push_back(std::async(std::launch::async, part, i, threads));
    part(0, threads);
    for (auto& r : running) r.get();
  };
  on_all_cores(work);
  std::vector<Sampled> summary(outputs);
  on_all_cores([&](std::size_t first, std::size_t step) {
    for (std::size_t k = first; k < outputs; k += step) summary[k] = summarise(results[k], coverage);
  });
  return summary;
}

} // namespace chamber::solve
