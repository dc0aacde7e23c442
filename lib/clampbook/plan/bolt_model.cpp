#include <clampbook/joint/head.h>
#include <clampbook/joint/hole.h>
#include <clampbook/joint/material.h>
#include <clampbook/plan/bolt_model.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::plan {

using joint::Length;
using joint::Stress;
using schedule::Fastener;
using schedule::Schedule;
using units::Measured;
using units::to;

std::optional<Length> BoltModel::mean_seat_diameter() const {
  if (!seat_outer || !hole) return std::nullopt;
  return joint::mean_seat_diameter(*seat_outer, *hole);
}

std::optional<joint::Contact> BoltModel::contact(const FrictionModel& friction) const {
  const auto diameter = mean_seat_diameter();
  if (!diameter || !friction.thread) return std::nullopt;
  return joint::Contact{joint::ThreadFriction(friction.nominal_thread),
                        joint::SeatFriction(friction.nominal_seat), *diameter};
}

bool lubricants_differ(const schedule::Lubricant& a, const schedule::Lubricant& b) {
  const auto same = [](const std::optional<schedule::FrictionRange>& x,
                       const std::optional<schedule::FrictionRange>& y) {
    if (!x || !y) return !x && !y;
    return x->low == y->low && x->high == y->high && x->nominal == y->nominal;
  };
  return !(a.name == b.name && same(a.thread, b.thread) && same(a.seat, b.seat) &&
           same(a.nut_factor, b.nut_factor));
}

namespace {

class Builder {
 public:
  Builder(const Schedule& schedule, const Fastener& fastener)
      : schedule_(schedule), f_(fastener), model_(*joint::find_thread(fastener.thread)) {}

  BoltModel build() {
    strength();
    seat();
    friction();
    joint();
    return std::move(model_);
  }

 private:
  void strength() {
    if (const auto& own = f_.strength.own) {
      model_.strength = joint::custom_strength(to<Stress>(own->yield), to<Stress>(own->tensile),
                                               to<units::Ratio>(own->elongation),
                                               own->standing == schedule::Standing::measured);
    } else {
      model_.strength = *joint::find_strength(f_.strength.designation, model_.thread.thread.diameter());
    }
  }

  void seat() {
    if (f_.hole) {
      model_.hole = to<Length>(*f_.hole);
    } else if (const auto hole = joint::find_clearance_hole(model_.thread.thread)) {
      model_.hole = *hole;
    } else {
      model_.missing.emplace_back("hole");
    }
    if (f_.head.bearing) {
      model_.seat_outer = to<Length>(*f_.head.bearing);
    } else {
      const auto shape =
          f_.head.kind == schedule::HeadKind::socket ? joint::HeadShape::socket : joint::HeadShape::hexagon;
      if (const auto head = joint::find_standard_head(shape, model_.thread.thread)) {
        model_.seat_outer = head->seat_outer;
      } else {
        model_.missing.emplace_back("head: {bearing: ...}");
      }
    }
    if (model_.seat_outer && f_.washer)
      model_.seat_outer = std::min(*model_.seat_outer, to<Length>(f_.washer->outer));
    // A hole may be wider than a narrow head's seat; then there is no ring to rub on.
    if (model_.seat_outer && model_.hole && *model_.seat_outer <= *model_.hole) {
      model_.missing.emplace_back("head: {bearing: ...} wider than the hole");
      model_.seat_outer.reset();
    }
  }

  static FrictionModel friction_of(const schedule::Lubricant& l) {
    const auto scatter = [](const schedule::FrictionRange& r) {
      return joint::Lognormal::from_range(r.low, r.high);
    };
    FrictionModel out;
    if (l.nut_factor) {
      out.nut_factor = scatter(*l.nut_factor);
      out.nominal_nut_factor = l.nut_factor->nominal;
    } else {
      out.thread = scatter(*l.thread);
      out.seat = scatter(*l.seat);
      out.nominal_thread = l.thread->nominal;
      out.nominal_seat = l.seat->nominal;
    }
    return out;
  }

  void friction() {
    const schedule::Lubrication* l = schedule_.lubrication(f_);
    if (l == nullptr || (!l->used && !l->stated)) {
      model_.missing.emplace_back("lubricant: {used: ...}");
      return;
    }
    // One of the two alone stands for both.
    const schedule::Lubricant& used = l->used ? *l->used : *l->stated;
    const schedule::Lubricant& stated = l->stated ? *l->stated : *l->used;
    model_.used = friction_of(used);
    model_.stated = friction_of(stated);
    model_.lubricants_differ = lubricants_differ(used, stated);
  }

  static Stress modulus_of(const std::string& material, const std::optional<Measured>& modulus) {
    return modulus ? to<Stress>(*modulus) : joint::find_material(material)->modulus;
  }

  void joint() {
    const schedule::Joint* j = schedule_.joint_of(f_);
    const std::size_t before = model_.missing.size();
    if (!f_.grip) model_.missing.emplace_back("grip");
    if (j == nullptr || j->layers.empty()) model_.missing.emplace_back("joint: {layers: ...}");
    if (j == nullptr || !j->into || (j->into->material.empty() && !j->into->modulus))
      model_.missing.emplace_back("joint: {into: ...}");
    if (model_.missing.size() != before || !model_.seat_outer || !model_.hole) return;

    joint::BoltGeometry bolt{
        model_.thread.thread,
        f_.head.kind == schedule::HeadKind::socket ? joint::HeadShape::socket : joint::HeadShape::hexagon,
        {},
        to<Length>(*f_.grip)};
    for (const schedule::ShankPiece& piece : f_.shank)
      bolt.shank.push_back({to<Length>(piece.length),
                            piece.diameter ? to<Length>(*piece.diameter) : model_.thread.thread.diameter()});
    joint::ClampedParts parts{{},
                              *model_.seat_outer,
                              *model_.hole,
                              j->into->nut ? joint::Receiver::nut : joint::Receiver::tapped,
                              modulus_of(j->into->material, j->into->modulus)};
    if (f_.washer)
      parts.layers.push_back({to<Length>(f_.washer->thickness), to<Length>(f_.washer->outer),
                              units::of(205, units::gigapascal)});
    for (const schedule::Layer& layer : j->layers) {
      // Without an outer diameter the part is wider than any cone of pressure.
      const Length outer = layer.outer ? to<Length>(*layer.outer) : parts.seat_outer + 2.0 * bolt.grip;
      parts.layers.push_back({to<Length>(layer.thickness), outer, modulus_of(layer.material, layer.modulus)});
    }
    try {
      static_cast<void>(joint::free_thread(bolt));
      joint::require_sound(parts, bolt.grip);
    } catch (const DomainError& e) {
      throw InputError(text::Diagnostic{
          "out-of-domain",
          fmt::format("fastener '{}' and its joint contradict each other: {}", f_.name, e.what()),
          "look at its hole, layers, shank and grip", f_.at});
    }
    model_.geometry = std::move(bolt);
    model_.parts = std::move(parts);
  }

  const Schedule& schedule_;
  const Fastener& f_;
  BoltModel model_;
};

}  // namespace

BoltModel bolt_model(const Schedule& schedule, const Fastener& fastener) {
  return Builder(schedule, fastener).build();
}

}  // namespace clampbook::plan
