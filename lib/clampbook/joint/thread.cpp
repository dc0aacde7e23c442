#include <clampbook/joint/domain.h>
#include <clampbook/joint/thread.h>

namespace clampbook::joint {

namespace {

constexpr double kTriangleHeight = 0.86602540378443864676;  // sqrt(3)/2, of a pitch of one
// The constant of ASME B1.1 as printed; the sharp-vee arithmetic behind it would give 0.974279.
constexpr double kUnifiedStressConstant = 0.9743;

}  // namespace

Thread::Thread(ThreadForm form, Hand hand, Length diameter, Length pitch)
    : form_(form),
      hand_(hand),
      diameter_(diameter),
      pitch_(pitch),
      pitch_diameter_(diameter - 3.0 / 4 * kTriangleHeight * pitch),
      minor_diameter_(diameter - 17.0 / 12 * kTriangleHeight * pitch),
      nut_minor_diameter_(diameter - 5.0 / 4 * kTriangleHeight * pitch),
      stress_diameter_(form == ThreadForm::metric ? Length((pitch_diameter_ + minor_diameter_) / 2.0)
                                                  : Length(diameter - kUnifiedStressConstant * pitch)),
      lead_tangent_(pitch / (kPi * pitch_diameter_)) {}

Thread Thread::metric(Length diameter, Length pitch, Hand hand) {
  require_between(units::si_number(diameter), 0.2e-3, 1, "thread diameter");
  require_positive(pitch, "thread pitch");
  require_between(pitch / diameter, 0, 0.5, "thread pitch over diameter");
  return {ThreadForm::metric, hand, diameter, pitch};
}

Thread Thread::unified(Length diameter, double threads_per_inch, Hand hand) {
  require_between(units::si_number(diameter), 0.2e-3, 1, "thread diameter");
  require_between(threads_per_inch, 0.5, 500, "threads per inch");
  const Length pitch = units::of(1 / threads_per_inch, units::inch);
  require_between(pitch / diameter, 0, 0.5, "thread pitch over diameter");
  return {ThreadForm::unified, hand, diameter, pitch};
}

}  // namespace clampbook::joint
