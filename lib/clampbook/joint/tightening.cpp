#include <clampbook/joint/tightening.h>

#include <clampbook/joint/domain.h>
#include <clampbook/joint/torque.h>
#include <clampbook/joint/yield.h>

#include <algorithm>
#include <cmath>

namespace clampbook::joint {

namespace {

const Angle kRadian = units::of(1, units::radian);
const Force kNoForce = units::of(0, units::newton);
const LeverArm kNoLever = units::of(0, units::metre_per_radian);

}  // namespace

TighteningGeometry TighteningGeometry::from(const BoltGeometry& bolt, const ClampedParts& parts) {
  return from(bolt, joint_springs(bolt, parts));
}

TighteningGeometry TighteningGeometry::from(const BoltGeometry& bolt, const JointSprings& springs) {
  require_positive(springs.bolt, "bolt resilience");
  require_not_negative(springs.parts, "parts resilience");
  require_not_negative(springs.twist, "twist of the bolt");
  TighteningGeometry geometry(bolt.thread.pitch(), springs);
  geometry.add({free_thread(bolt), bolt.thread.stress_diameter()});
  for (const ShankPiece& piece : bolt.shank) geometry.add({piece.length, piece.diameter});
  return geometry;
}

void TighteningGeometry::add(FlowSection section) {
  for (std::size_t i = 0; i < count_; ++i) {
    if (sections_[i].diameter == section.diameter) {
      sections_[i].length += section.length;
      return;
    }
  }
  if (count_ == kMostSections) {
    throw DomainError("different shank diameters", static_cast<double>(count_), "at most 11");
  }
  sections_[count_++] = section;
}

TighteningGeometry TighteningGeometry::softened(double factor) const {
  require_between(factor, 0.01, 100, "elasticity factor");
  TighteningGeometry out = *this;
  out.springs_.bolt *= factor;
  out.springs_.parts *= factor;
  return out;
}

TighteningModel::TighteningModel(const TighteningGeometry& geometry, LeverArm thread_lever, LeverArm lever,
                                 const Strength& strength)
    : TighteningModel(geometry, lever) {
  require_positive(thread_lever, "thread lever");
  if (!(lever >= thread_lever)) {
    throw DomainError("lever", units::si_number(lever), "not shorter than the thread's own");
  }
  if (!(strength.tensile > require_positive(strength.yield, "yield strength"))) {
    throw DomainError("tensile strength", units::si_number(strength.tensile), "above the yield strength");
  }
  require_positive(strength.elongation, "elongation");
  thread_lever_ = thread_lever;
  elongation_ = strength.elongation;
  elastic_angle_ += twist_ * thread_lever;
  for (std::size_t i = 0; i < geometry.section_count(); ++i) add(geometry.section(i), strength);
  std::sort(flows_.begin(), flows_.begin() + static_cast<std::ptrdiff_t>(count_),
            [](const Flow& a, const Flow& b) { return a.yield_preload < b.yield_preload; });
}

TighteningModel::TighteningModel(const TighteningGeometry& geometry, const Thread& thread,
                                 const Contact& contact, const Strength& strength)
    : TighteningModel(geometry, joint::thread_lever(thread, contact.thread), joint::lever(thread, contact),
                      strength) {}

TighteningModel::TighteningModel(const TighteningGeometry& geometry, LeverArm lever)
    : pitch_(geometry.pitch()),
      bolt_(geometry.springs().bolt),
      twist_(geometry.springs().twist),
      thread_lever_(kNoLever),
      lever_(require_positive(lever, "lever")),
      elastic_angle_((bolt_ + geometry.springs().parts) / pitch_ * (2 * kPi) * kRadian) {}

// docs/physics.md equations 6.2 to 6.5
void TighteningModel::add(const FlowSection& section, const Strength& strength) {
  const double r = torsion_ratio(thread_lever_, section.diameter);
  const double q = std::sqrt(1 + 3 * r * r);
  const Area area = kPi / 4 * (section.diameter * section.diameter);
  const Stress hardening = (strength.tensile - strength.yield) / strength.elongation;
  Flow& flow = flows_[count_++];
  flow.yield_preload = area * strength.yield / q;
  flow.growth = section.length / (area * hardening);
  // Stretch, and the plastic twist that makes the thread torque's work equal the plastic shear work.
  flow.angle = (2 * kPi / pitch_ + 9 * r / section.diameter) * flow.growth * kRadian;
  flow.share = q / (area * hardening) / strength.elongation;
  const Force breaks = area * strength.tensile / q;
  if (count_ == 1 || breaks < breaking_preload_) breaking_preload_ = breaks;
}

Force TighteningModel::yields_next(const TighteningState& state) const {
  return std::max(flows_[0].yield_preload, state.largest);
}

TighteningState TighteningModel::settle(TighteningState state, Force preload) const {
  state.preload = preload;
  state.largest = std::max(state.largest, preload);
  if (count_ > 0 && state.largest > breaking_preload_) {
    state.broken = true;
    state.preload = kNoForce;
  }
  return state;
}

// Walks the piecewise linear line from `from` by `travel`: exact, one division for each kink that is passed.
template <class Travel, class Compliance>
Force TighteningModel::advance(const TighteningState& from, Travel travel, Compliance elastic,
                               Compliance Flow::*plastic) const {
  Force at = from.preload;
  const Force straight = at + travel / elastic;
  if (count_ == 0) return straight;
  const Force kink = std::max(yields_next(from), at);
  if (straight <= kink) return straight;
  travel -= (kink - at) * elastic;
  at = kink;
  Compliance slope = elastic;
  for (std::size_t i = 0; i < count_; ++i) {
    const Flow& flow = flows_[i];
    if (flow.yield_preload > at) {
      const Travel to_next = (flow.yield_preload - at) * slope;
      if (travel <= to_next) break;
      travel -= to_next;
      at = flow.yield_preload;
    }
    slope += flow.*plastic;
  }
  return at + travel / slope;
}

TighteningState TighteningModel::torque(TighteningState from, Torque torque) const {
  require_not_negative(torque, "torque");
  if (from.broken) return from;
  return settle(from, std::max<Force>(from.preload, torque / lever_));
}

TighteningState TighteningModel::angle(TighteningState from, Angle angle) const {
  require_not_negative(angle, "angle");
  if (from.broken) return from;
  return settle(from, advance(from, angle, elastic_angle_, &Flow::angle));
}

TighteningState TighteningModel::stretch(TighteningState from, Length stretch) const {
  require_not_negative(stretch, "stretch");
  if (from.broken) return from;
  const Length more = stretch - stretch_at(from);
  if (units::si_number(more) <= 0) return from;
  return settle(from, advance(from, more, bolt_, &Flow::growth));
}

TighteningState TighteningModel::to_preload(TighteningState from, Force preload) const {
  require_not_negative(preload, "preload");
  if (from.broken) return from;
  return settle(from, std::max(from.preload, preload));
}

std::optional<TighteningState> TighteningModel::yield_controlled(TighteningState from, double share) const {
  if (!(share > 0 && share < 1)) throw DomainError("share of the slope", share, "above 0 and below 1");
  if (from.broken) return from;
  AnglePerForce slope = elastic_angle_;
  for (std::size_t i = 0; i < count_; ++i) {
    slope += flows_[i].angle;
    const double left = elastic_angle_ / slope;
    if (left > share) continue;
    return settle(from, std::max({from.preload, from.largest, flows_[i].yield_preload}));
  }
  return std::nullopt;
}

TighteningState TighteningModel::loosen(TighteningState from) const {
  if (from.broken) return from;
  from.preload = kNoForce;
  from.largest_at_rest = from.largest;
  return from;
}

TighteningState TighteningModel::loosen(TighteningState from, Angle angle) const {
  require_not_negative(angle, "angle");
  if (from.broken) return from;
  const Force left = from.preload - angle / elastic_angle_;
  if (left <= kNoForce) return loosen(from);
  from.preload = left;
  return from;
}

Angle TighteningModel::flow_angle(Force largest) const {
  Angle sum = 0.0 * kRadian;
  for (std::size_t i = 0; i < count_ && flows_[i].yield_preload < largest; ++i) {
    sum += (largest - flows_[i].yield_preload) * flows_[i].angle;
  }
  return sum;
}

Length TighteningModel::flow_growth(Force largest) const {
  Length sum = units::of(0, units::metre);
  for (std::size_t i = 0; i < count_ && flows_[i].yield_preload < largest; ++i) {
    sum += (largest - flows_[i].yield_preload) * flows_[i].growth;
  }
  return sum;
}

Angle TighteningModel::angle_at(const TighteningState& state) const {
  return state.preload * elastic_angle_ + flow_angle(state.largest) - flow_angle(state.largest_at_rest);
}

Length TighteningModel::stretch_at(const TighteningState& state) const {
  return state.preload * bolt_ + flow_growth(state.largest) - flow_growth(state.largest_at_rest);
}

std::optional<double> TighteningModel::utilisation(const TighteningState& state) const {
  if (count_ == 0) return std::nullopt;
  const double share = state.preload / flows_[0].yield_preload;
  return state.broken ? 1 : std::min(share, 1.0);
}

Length TighteningModel::growth(const TighteningState& state) const {
  return flow_growth(state.largest);
}

double TighteningModel::growth_share(const TighteningState& state) const {
  double most = 0;
  for (std::size_t i = 0; i < count_ && flows_[i].yield_preload < state.largest; ++i) {
    most = std::max<double>(most, (state.largest - flows_[i].yield_preload) * flows_[i].share);
  }
  return most;
}

std::optional<Angle> TighteningModel::elastic_limit_angle(const TighteningState& state) const {
  if (count_ == 0) return std::nullopt;
  if (state.broken) return 0.0 * kRadian;
  return std::max<Force>(yields_next(state) - state.preload, kNoForce) * elastic_angle_;
}

Angle TighteningModel::spring_back(const TighteningState& state, double share) const {
  require_between(share, 0, 1, "share of the torsion");
  return share * (state.preload * thread_lever_ * twist_);
}

std::optional<Angle> TighteningModel::offset_angle(double plastic_strain) const {
  require_between(plastic_strain, 0, 0.1, "plastic strain");
  if (count_ == 0) return std::nullopt;
  const Force beyond = plastic_strain / elongation_ / flows_[0].share;
  return beyond * flows_[0].angle;
}

std::optional<Force> TighteningModel::yield_preload() const {
  if (count_ == 0) return std::nullopt;
  return flows_[0].yield_preload;
}

std::optional<Force> TighteningModel::breaking_preload() const {
  if (count_ == 0) return std::nullopt;
  return breaking_preload_;
}

}  // namespace clampbook::joint
