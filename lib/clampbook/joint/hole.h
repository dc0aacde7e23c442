// Clearance holes: what to take when nobody measured the hole under the head.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/found.h>
#include <clampbook/joint/thread.h>

namespace clampbook::joint {

enum class HoleSeries { fine, medium, coarse };

/// The hole's diameter: ISO 273 for metric sizes, ASME B18.2.8 (close, normal, loose) for inch sizes. A size
/// that is in neither table fails and asks for the hole.
/// source  data/clearance_holes.inc, data/inch_clearance_holes.inc
[[nodiscard]] Found<Length> find_clearance_hole(const Thread& thread, HoleSeries series = HoleSeries::medium);

}  // namespace clampbook::joint
