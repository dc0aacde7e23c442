#include <clampbook/plan/window.h>
#include <clampbook/review/doubt.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace clampbook::review {

using plan::StageKind;

namespace {

constexpr double kAbove = 1.15;
constexpr double kBelow = 0.9;
constexpr double kGap = 1.05;  // a wrench has to be set between the two

// Torques in N·m that move the bolt on after a stage: what its window allows, or what the prediction expects,
// and what turns a lock nut besides.
struct Reached {
  double least, most;
};

std::optional<Reached> reached(const Step& step, const std::vector<plan::FastenerPrediction>& predictions) {
  const units::Unit& unit = units::newton_metre_unit();
  const bool by_torque =
      step.kind == StageKind::torque || step.kind == StageKind::snug || step.kind == StageKind::recheck;
  const double prevailing = step.prevailing ? step.prevailing->in(unit) : 0;
  if (by_torque && step.low && step.high)
    return Reached{step.low->in(unit) + prevailing, step.high->in(unit) + prevailing};
  for (const plan::FastenerPrediction& p : predictions) {
    if (std::find(p.bolts.begin(), p.bolts.end(), *step.bolt) == p.bolts.end()) continue;
    for (const plan::StagePrediction& s : p.stages)
      if (s.stage == step.stage && s.torque) {
        const double expected = units::value_in(s.torque->nominal, units::newton_metre) + prevailing;
        return Reached{expected, expected};
      }
  }
  return std::nullopt;
}

// What was read on the bolt tells more than what was meant: it bears the highest torque since it was
// loosened. A reading of the step in doubt counts where it fell short of it.
void bear_what_was_read(const Pass& pass, const Step& doubted, Reached& reached) {
  const Progress progress(pass);
  int loosened = 0;
  for (const std::size_t position : pass.index.turning(*doubted.bolt))
    if (const Step& step = pass.plan.steps[position];
        step.step < doubted.step && step.kind == StageKind::loosen && progress.filled(step.step))
      loosened = step.step;
  const units::Unit& unit = units::newton_metre_unit();
  for (const Entry& entry : pass.entries) {
    const Step* step = progress.find(entry.step);
    if (entry.voided_by || entry.past_piece || step == nullptr || step->bolt != doubted.bolt ||
        step->step <= loosened || step->step > doubted.step)
      continue;
    for (const auto* read : {&entry.value, &entry.also}) {
      if (!*read || (*read)->dimension() != units::Dimension::torque) continue;
      const bool short_of = read == &entry.value && plan::side(*step, **read) == plan::Side::below;
      if (step->step == doubted.step && !short_of) continue;
      const double lock_nut = entry.click && step->prevailing ? step->prevailing->in(unit) : 0;
      reached.least = std::max(reached.least, (*read)->in(unit) + lock_nut);
      reached.most = std::max(reached.most, (*read)->in(unit) + lock_nut);
    }
  }
}

// The torque of the step in doubt and of the bolt's step before it.
struct TwoStates {
  std::optional<Reached> before, after;
  bool read_higher = false;  // than the stage before is meant to reach
  const Step* step = nullptr;
};

TwoStates states(const Pass& pass, const std::string& bolt, int number,
                 const std::vector<plan::FastenerPrediction>& predictions) {
  TwoStates out;
  const Step* before = nullptr;
  for (const Step& step : pass.plan.steps) {
    if (step.bolt != bolt || step.kind == StageKind::loosen) continue;
    if (step.step == number) {
      out.step = &step;
      break;
    }
    before = &step;
  }
  if (out.step == nullptr) return out;
  out.before = before != nullptr ? reached(*before, predictions) : std::optional(Reached{0, 0});
  if (before != nullptr && before->kind == StageKind::snug && !before->target)
    out.before = Reached{0, 0};  // by hand
  out.after = reached(*out.step, predictions);
  if (out.before) {
    const double meant = out.before->most;
    bear_what_was_read(pass, *out.step, *out.before);
    out.read_higher = out.before->most > meant;
  }
  return out;
}

struct TestTorque {
  Measured low, high;  // between these it tells
  Measured torque;     // the one to set
};

// Nothing when the torques of the two states lie too close together or are not known.
std::optional<TestTorque> test_between(const TwoStates& s) {
  if (!s.before || !s.after) return std::nullopt;
  const double low = kAbove * s.before->most, high = kBelow * s.after->least;
  if (kGap * low >= high) return std::nullopt;
  const double middle = low > 0 ? std::sqrt(low * high) : high / 2;
  const units::Unit& unit = units::newton_metre_unit();
  return TestTorque{{low, unit}, {high, unit}, {middle, unit}};
}

}  // namespace

std::string doubt_advice(const Pass& pass, const Doubt& doubt,
                         const std::vector<plan::FastenerPrediction>& predictions) {
  std::string out =
      "turn no further. Look at the witness marks first: a mark that has moved on against the part shows the "
      "turn. ";
  const TwoStates s = states(pass, doubt.bolt, doubt.step, predictions);
  const auto test = test_between(s);
  const std::string stage =
      s.step != nullptr ? fmt::format("stage {}", s.step->stage) : std::string("that stage");
  if (test) {
    const units::Unit& unit = units::unit_in(pass.plan.written_in(), test->torque);
    const auto shown = [&](const Measured& m) {
      return units::format(Measured(std::round(m.in(unit)*10) / 10, unit));
    };
    out += fmt::format(
        "Else try {} (it tells between {} and {}): if the bolt moves, {} was not done; if it does not move, "
        "it was. ",
        shown(test->torque), shown(test->low), shown(test->high), stage);
    out +=
        "A bolt that has stood for long may stick, and a test tells nothing of a turn made twice: past yield "
        "the torque is flat. ";
  } else {
    const bool known = s.before && s.after;
    out +=
        fmt::format("No test torque can tell whether {} was done: the torques of the two states {}. ", stage,
                    !known          ? "are not known"
                    : s.read_higher ? "lie too close together: a higher one was read on it already"
                    : s.step != nullptr && s.step->may_yield
                        ? "lie too close together, because past yield the torque is flat"
                        : "lie too close together");
  }
  return out + "If a doubt is left, fit a new bolt and bring it through all stages";
}

}  // namespace clampbook::review
