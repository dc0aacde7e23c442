// How text for people is written: which unit system comes second, ASCII or not, colour or not.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/units/format.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::report {

struct TextStyle {
  std::optional<units::System> system{};  ///< which system comes first; nothing: as written
  bool ascii = false;                     ///< draw with ASCII characters
  bool colour = false;
  std::size_t width = 80;
  units::System written = units::System::metric;  ///< of the schedule's figures

  /// Whether computed figures, which stand in one system alone, are in lbf, ft·lbf and inches.
  [[nodiscard]] bool imperial() const { return system.value_or(written) == units::System::imperial; }
};

/// Figures in both unit systems: "28.8..31.2 N·m (21.2..23 ft·lbf)"; angles and the like stand once.
[[nodiscard]] std::string both_systems(const units::Measured& value, const TextStyle& style);
[[nodiscard]] std::string both_systems(const units::Measured& low, const units::Measured& high,
                                       const TextStyle& style);

/// `text` broken at spaces: the first line indented by `first`, the others by `rest`.
[[nodiscard]] std::string wrapped(std::string_view text, std::size_t width, std::size_t first,
                                  std::size_t rest);

/// `text` with spaces behind it up to `width` columns.
[[nodiscard]] std::string padded(std::string_view text, std::size_t width);

/// The standing cautions (text/cautions.h), each with its mark, in lines of `width` columns.
[[nodiscard]] std::string standing_cautions(std::size_t width);

}  // namespace clampbook::report
