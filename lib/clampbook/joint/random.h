// Random numbers that are the same on every machine and in every build: the generator is written out here,
// and nothing depends on a standard library's distributions.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <array>
#include <cstdint>

namespace clampbook::joint {

/// splitmix64: one step, used to spread a seed over a state.
[[nodiscard]] std::uint64_t split_mix(std::uint64_t& state);

/// xoshiro256++ (Blackman and Vigna).
class RandomSequence {
 public:
  explicit RandomSequence(std::uint64_t seed);
  explicit RandomSequence(const std::array<std::uint64_t, 4>& state) : state_(state) {}

  [[nodiscard]] std::uint64_t next();
  /// Strictly between 0 and 1.
  [[nodiscard]] double uniform();
  /// 0 .. bound - 1, each as likely; bound above zero.
  [[nodiscard]] std::uint64_t below(std::uint64_t bound);

 private:
  std::array<std::uint64_t, 4> state_;
};

/// The standard normal deviate that is not exceeded with probability p.
/// in      p  strictly between 0 and 1
/// throws  DomainError
/// error   1e-15 relative against the inverse of the error function (algorithm AS 241, PPND16)
[[nodiscard]] double normal_quantile(double p);

}  // namespace clampbook::joint
