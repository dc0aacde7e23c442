// Bolt heads: how wide the ring is on which the head turns, and how tall the head counts as a spring.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/found.h>
#include <clampbook/joint/thread.h>

#include <optional>
#include <string_view>

namespace clampbook::joint {

enum class HeadShape { hexagon, socket };

/// "hexagon" or "socket"; else fails with close matches.
[[nodiscard]] Found<HeadShape> find_head(std::string_view name);

struct Head {
  HeadShape shape;
  Length seat_outer;                           ///< dw: outer diameter of the bearing face, the least value
  std::optional<Length> width_across_flats{};  ///< s, of a hexagon
  std::optional<Length> head_diameter{};       ///< dk, of a socket head
};

/// Metric sizes from ISO 4014 (hexagon) and ISO 4762 (socket); inch sizes from ASME B18.2.1 and B18.3. A
/// diameter that is in neither table fails; the help asks for the bearing diameter.
/// source  data/*.inc
[[nodiscard]] Found<Head> find_standard_head(HeadShape shape, const Thread& thread);

/// Length of the shank that lengthens as much as the head does: 0.5 d, of a socket head 0.4 d.
/// source  docs/physics.md section 5
[[nodiscard]] Length head_substitute_length(HeadShape shape, Length diameter);

}  // namespace clampbook::joint
