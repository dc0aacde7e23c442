#include <clampbook/joint/seat.h>

#include <clampbook/joint/domain.h>

#include <algorithm>

namespace clampbook::joint {

namespace {

constexpr double kWasherSpread = 1.6;  // growth of the diameter for each thickness

}  // namespace

Stress seat_pressure(Force preload, Length outer, Length inner) {
  require_not_negative(preload, "preload");
  require_positive(outer, "seat outer diameter");
  require_positive(inner, "seat inner diameter");
  if (!(outer > inner))
    throw DomainError("seat outer diameter", units::si_number(outer), "larger than the hole");
  return preload / (kPi / 4 * (outer * outer - inner * inner));
}

Length seat_under_washer(Length seat_outer, Length washer_outer, Length washer_thickness) {
  require_positive(seat_outer, "seat outer diameter");
  require_positive(washer_outer, "washer outer diameter");
  require_not_negative(washer_thickness, "washer thickness");
  return std::min<Length>(seat_outer + kWasherSpread * washer_thickness, std::max(washer_outer, seat_outer));
}

SeatCheck check_seat(Force assembly_preload, Length outer, Length inner, Stress limit) {
  require_positive(assembly_preload, "preload");
  require_positive(limit, "limiting pressure");
  const Stress pressure = seat_pressure(kStrongestPreload * assembly_preload, outer, inner);
  return {pressure, limit, limit / pressure};
}

}  // namespace clampbook::joint
