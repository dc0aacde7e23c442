#include <clampbook/joint/odd_one_out.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace clampbook::joint {

namespace {

// Usual scatter of a sound group, as standard deviations of the logarithms (docs/accuracy.md).
constexpr double kFinalTorque = 0.07, kGradient = 0.16, kSeating = 0.11, kForce = 0.10;

struct Level {
  double bolts, plain, with_seating;
};
// By number of bolts, so that 5 % of sound simulated groups raise an alarm (docs/accuracy.md).
constexpr std::array<Level, 6> kLevels{{{4, 2.51, 2.74},
                                        {6, 2.82, 2.96},
                                        {8, 2.92, 2.99},
                                        {10, 2.95, 3.19},
                                        {14, 3.10, 3.39},
                                        {24, 3.35, 3.60}}};

double alarm_level(std::size_t bolts, bool with_seating) {
  const auto n = static_cast<double>(bolts);
  for (std::size_t i = 1; i < kLevels.size(); ++i) {
    const Level &low = kLevels[i - 1], &high = kLevels[i];
    if (n > high.bolts) continue;
    const double t = (n - low.bolts) / (high.bolts - low.bolts);
    return with_seating ? low.with_seating + t * (high.with_seating - low.with_seating)
                        : low.plain + t * (high.plain - low.plain);
  }
  return with_seating ? kLevels.back().with_seating : kLevels.back().plain;
}

struct Values {
  Feature feature;
  double usual;
  std::vector<double> of_bolts;
};

double number(const auto& quantity) {
  return units::si_number(quantity);
}

// The features that every bolt of the group has.
std::vector<Values> features_of(std::span<const BoltEvidence> evidence) {
  Values final{Feature::final_torque, kFinalTorque, {}}, gradient{Feature::gradient, kGradient, {}};
  Values seating{Feature::seating, kSeating, {}}, force{Feature::force, kForce, {}};
  for (const BoltEvidence& e : evidence) {
    if (!e.final || number(*e.final) <= 0) return {};
    const double end = number(*e.final), start = number(e.start);
    final.of_bolts.push_back(std::log(end));
    double turned = 0;
    for (const Angle& angle : e.angles) turned += number(angle);
    if (turned > 0 && end > start) gradient.of_bolts.push_back(std::log((end - start) / turned));
    if (e.before && e.snug && number(*e.before) > 0 && start > number(*e.snug)) {
      seating.of_bolts.push_back(std::log(number(*e.before)));
      force.of_bolts.push_back(std::log(end) + std::log(number(*e.before) / (start - number(*e.snug))));
    }
  }
  std::vector<Values> out;
  for (Values* values : {&final, &gradient, &seating, &force})
    if (values->of_bolts.size() == evidence.size()) out.push_back(std::move(*values));
  return out;
}

// Signed, in scales of the others and of what is usual.
double score_of(const Values& values, std::size_t bolt) {
  const auto n = static_cast<double>(values.of_bolts.size());
  double mean = 0, squares = 0;
  for (std::size_t i = 0; i < values.of_bolts.size(); ++i)
    if (i != bolt) mean += values.of_bolts[i] / (n - 1);
  for (std::size_t i = 0; i < values.of_bolts.size(); ++i)
    if (i != bolt) squares += (values.of_bolts[i] - mean) * (values.of_bolts[i] - mean);
  // The others' variance with n - 2 degrees of freedom, drawn towards what is usual with six.
  const double variance = (6 * values.usual * values.usual + squares) / (4 + n) * (1 + 1 / (n - 1));
  return (values.of_bolts[bolt] - mean) / std::sqrt(variance);
}

std::vector<OddBolt> scores(std::span<const BoltEvidence> evidence) {
  if (evidence.size() < kFewestAlike || evidence.size() > kMostAlike) return {};
  const std::vector<Values> features = features_of(evidence);
  if (features.empty()) return {};
  const bool with_seating = features.size() > 2;
  std::vector<OddBolt> out;
  for (std::size_t bolt = 0; bolt < evidence.size(); ++bolt) {
    OddBolt odd{bolt, Feature::final_torque, 0, alarm_level(evidence.size(), with_seating)};
    for (const Values& values : features) {
      const double score = score_of(values, bolt);
      if (std::fabs(score) <= std::fabs(odd.score)) continue;
      odd.score = score;
      odd.feature = values.feature;
    }
    out.push_back(odd);
  }
  std::stable_sort(out.begin(), out.end(), [](const OddBolt& a, const OddBolt& b) {
    return std::fabs(a.score) > std::fabs(b.score);
  });
  return out;
}

}  // namespace

std::optional<OddBolt> oddest_bolt(std::span<const BoltEvidence> evidence) {
  const std::vector<OddBolt> all = scores(evidence);
  return all.empty() ? std::nullopt : std::optional(all.front());
}

std::vector<OddBolt> odd_bolts(std::span<const BoltEvidence> evidence) {
  std::vector<OddBolt> out = scores(evidence);
  std::erase_if(out, [](const OddBolt& odd) { return std::fabs(odd.score) <= odd.alarm; });
  return out;
}

}  // namespace clampbook::joint
