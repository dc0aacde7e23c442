// The words that warn whoever takes a figure to a bolt: one table, so that no output says less than another.
// They stand on every plan, table, drawing, sheet, page, report and starter, and before the stages that they
// are about. All are whole sentences in ASCII, so that they can be printed anywhere. Source: common practice.
//
// They are about this library too: it computes, it does not approve. Its figures are the caller's, and
// whoever shows one to a person shows these with it.
#pragma once

#include <array>
#include <string_view>

namespace clampbook::text {

/// On everything from which a figure can be taken to a bolt.
inline constexpr std::array<std::string_view, 3> kStandingCautions{
    "Wear eye protection. A wrong figure can break a bolt or let parts fly apart.",
    "The figures are yours: the tool computes, it does not approve. The maker's current data and local codes "
    "come "
    "first.",
    "What is safety-critical (rods, flywheels, brakes, lifting, pressure, aircraft) is for someone "
    "qualified.",
};

/// Before a stage that may take a bolt to its yield point.
inline constexpr std::string_view kYieldCaution =
    "This stage may take the bolt to its yield point: eye protection on, one steady braced pull. Stop if the "
    "torque "
    "falls, stays flat early, jerks or squeals. If you overturn or lose count, do not back off to the "
    "number.";

/// The same in one cell of a table.
inline constexpr std::string_view kYieldCautionInShort =
    "may yield: eye protection, a steady braced pull, never back off to the number";

/// Where holes may be blind.
inline constexpr std::string_view kBlindHoleCaution =
    "Blind holes: no oil or water under the bolt; goggles and low pressure for blowing out. Solvent strips "
    "lubricant.";

/// Wherever readings are said to be in their window.
inline constexpr std::string_view kInWindowCaution =
    "In window means that the readings match the plan. It does not say that the joint is sound: a torque "
    "alone does "
    "not show the clamp load.";

}  // namespace clampbook::text
