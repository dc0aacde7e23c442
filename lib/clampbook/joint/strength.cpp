#include <clampbook/joint/domain.h>
#include <clampbook/joint/strength.h>
#include <clampbook/text/number.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <vector>

namespace clampbook::joint {

namespace {

struct Row {
  std::string_view name;
  double above;  // the first row of a name includes this diameter
  double up_to;
  double tensile;
  double yield;
  double proof;
  double elongation;  // %
};

constexpr Row kIso[] = {
#include <clampbook/joint/data/iso_898_classes.inc>
};

constexpr Row kSae[] = {
#include <clampbook/joint/data/sae_grades.inc>
};

// A bolt of 3/4 in is in the lower range though 0.75 in is not exactly 19.05 mm in binary.
constexpr double kSlack = 1e-9;

struct Family {
  std::span<const Row> rows;
  units::Scale<Length> length;
  const char* length_word;
  units::Scale<Stress> stress;
};

const Family kFamilies[] = {{kIso, units::millimetre, "mm", units::megapascal},
                            {kSae, units::inch, "in", units::kilopound_per_square_inch}};

std::string canonical(std::string_view name) {
  while (!name.empty() && name.front() == ' ') name.remove_prefix(1);
  while (!name.empty() && name.back() == ' ') name.remove_suffix(1);
  for (const std::string_view prefix : {"SAE J429 grade ", "SAE J429 ", "SAE grade ", "SAE "}) {
    if (name.size() > prefix.size() && name.substr(0, prefix.size()) == prefix) {
      return "SAE " + std::string(name.substr(prefix.size()));
    }
  }
  return std::string(name);
}

NotFound unknown(std::string_view name) {
  std::vector<std::string_view> names;
  for (const Family& family : kFamilies) {
    for (const Row& row : family.rows) {
      if (names.empty() || names.back() != row.name) names.push_back(row.name);
    }
  }
  std::string help = text::did_you_mean(name, names);
  if (help.empty()) help = "known are " + text::list_words(names, "and");
  return {fmt::format("'{}' is not a strength class", name), std::move(help)};
}

}  // namespace

Found<Strength> find_strength(std::string_view name, Length diameter) {
  require_positive(diameter, "diameter");
  const std::string wanted = canonical(name);
  for (const Family& family : kFamilies) {
    const double size = units::value_in(diameter, family.length);
    const Row* first = nullptr;
    const Row* last = nullptr;
    for (const Row& row : family.rows) {
      if (row.name != wanted) continue;
      if (first == nullptr) first = &row;
      last = &row;
      if (size >= first->above * (1 - kSlack) && size <= row.up_to * (1 + kSlack)) {
        return Strength{wanted, units::of(row.yield, family.stress), units::of(row.tensile, family.stress),
                        units::of(row.elongation, units::percent), units::of(row.proof, family.stress)};
      }
    }
    if (first != nullptr) {
      return NotFound{
          fmt::format("class {} does not cover a diameter of {:.4g} {}", wanted, size, family.length_word),
          fmt::format("{} to {} {}; else write yield, tensile and elongation", text::shortest(first->above),
                      text::shortest(last->up_to), family.length_word)};
    }
  }
  return unknown(name);
}

Strength custom_strength(Stress yield, Stress tensile, Ratio elongation, bool measured) {
  require_positive(yield, "yield strength");
  require_positive(tensile, "tensile strength");
  if (!(tensile > yield)) {
    throw DomainError("tensile strength", units::si_number(tensile), "above the yield strength");
  }
  require_positive(elongation, "elongation");
  require_between(units::si_number(elongation), 0, 0.5, "elongation");
  return {"", yield, tensile, elongation, std::nullopt, measured};
}

Strength scaled(const Strength& strength, double factor) {
  require_between(factor, 0.1, 10, "strength factor");
  Strength out = strength;
  out.yield *= factor;
  out.tensile *= factor;
  if (out.proof) *out.proof *= factor;
  return out;
}

std::optional<Force> proof_load(const Thread& thread, const Strength& strength) {
  if (!strength.proof) return std::nullopt;
  return thread.stress_area() * require_positive(*strength.proof, "proof stress");
}

Force yield_load(const Thread& thread, const Strength& strength) {
  return thread.stress_area() * require_positive(strength.yield, "yield strength");
}

Force breaking_load(const Thread& thread, const Strength& strength) {
  return thread.stress_area() * require_positive(strength.tensile, "tensile strength");
}

}  // namespace clampbook::joint
