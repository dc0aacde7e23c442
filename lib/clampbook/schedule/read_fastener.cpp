#include <clampbook/joint/strength.h>
#include <clampbook/joint/thread_name.h>
#include <clampbook/schedule/readers.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::schedule {

using units::Dimension;

namespace {

Head read_head(const YamlNode& node, const Reading& reading) {
  if (node.kind == YamlNode::Kind::map) {
    Form form(node, "head", reading);
    const std::optional<Measured> bearing =
        form.need("bearing") != nullptr ? form.measured("bearing", Dimension::length) : std::nullopt;
    form.finish();
    return {HeadKind::bearing, bearing};
  }
  if (const auto choice = read_choice(node, "head", {"hexagon", "socket"}, reading))
    return {*choice == 0 ? HeadKind::hexagon : HeadKind::socket, {}};
  return {};
}

std::optional<Washer> read_washer(const YamlNode& node, const Reading& reading) {
  Form form(node, "washer", reading);
  const YamlNode* outer_node = form.need("outer");
  const YamlNode* thickness_node = form.need("thickness");
  const auto outer = outer_node != nullptr ? read_measured(*outer_node, "'outer'", Dimension::length, reading)
                                           : std::nullopt;
  const auto thickness = thickness_node != nullptr
                             ? read_measured(*thickness_node, "'thickness'", Dimension::length, reading)
                             : std::nullopt;
  const bool hard = form.truth("hard").value_or(false);
  form.finish();
  if (!outer || !thickness) return std::nullopt;
  return Washer{*outer, *thickness, hard};
}

std::optional<ShankPiece> read_shank_piece(const YamlNode& node, const Reading& reading) {
  if (node.kind != YamlNode::Kind::map) {
    const auto length = read_measured(node, "'shank'", Dimension::length, reading);
    if (!length) return std::nullopt;
    return ShankPiece{*length, {}};
  }
  Form form(node, "shank", reading);
  const YamlNode* length_node = form.need("length");
  const auto length = length_node != nullptr
                          ? read_measured(*length_node, "'length'", Dimension::length, reading)
                          : std::nullopt;
  const auto diameter = form.measured("diameter", Dimension::length);
  form.finish();
  if (!length) return std::nullopt;
  return ShankPiece{*length, diameter};
}

Reuse read_reuse(const YamlNode& node, const Reading& reading) {
  if (node.kind == YamlNode::Kind::map) {
    Form form(node, "reuse", reading);
    Reuse out;
    const YamlNode* times = form.take("times");
    const YamlNode* growth = form.take("growth_below");
    if ((times != nullptr) == (growth != nullptr)) {
      reading.error(times != nullptr ? "conflicting-keys" : "missing-key",
                    "reuse needs one of 'times' and 'growth_below'", node.at,
                    "reuse: never, unlimited, {times: 3} or {growth_below: 0.02 mm}");
    } else if (times != nullptr) {
      if (const auto n = read_count(*times, "'times'", reading)) {
        if (*n < 1)
          reading.error("out-of-domain", "'times' must be 1 or more", times->at,
                        "reuse: never for a bolt that is used once");
        out = {ReuseKind::times, *n, {}};
      }
    } else if (const auto limit = read_measured(*growth, "'growth_below'", Dimension::length, reading)) {
      out = {ReuseKind::growth_below, 0, limit};
    }
    form.finish();
    return out;
  }
  if (const auto choice = read_choice(node, "reuse", {"never", "unlimited"}, reading))
    return {*choice == 0 ? ReuseKind::never : ReuseKind::unlimited, 0, {}};
  return {};
}

// The thread must be one that can be understood, and the strength one that exists at its diameter.
std::optional<joint::NamedThread> check_thread(const Fastener& f, Form& form, const Reading& reading) {
  const YamlNode* node = form.take("thread");
  if (node == nullptr || f.thread.empty()) return std::nullopt;
  const auto found = joint::find_thread(f.thread);
  if (found) return *found;
  reading.error("unknown-word", found.failure().message, node->at, found.failure().help);
  return std::nullopt;
}

void check_strength(const Fastener& f, const joint::Thread& thread, Form& form, const Reading& reading) {
  const YamlNode* node = form.take("strength");
  if (node == nullptr || f.strength.designation.empty()) return;
  const auto found = joint::find_strength(f.strength.designation, thread.diameter());
  if (found) return;
  // A class that exists for another size is no unknown word.
  const bool known =
      static_cast<bool>(joint::find_strength(f.strength.designation, units::of(10, units::millimetre)));
  reading.error(known ? "out-of-domain" : "unknown-word", found.failure().message, node->at,
                found.failure().help);
}

// Diameters that must fit into one another, from the thread outwards.
void check_diameters(const Fastener& f, const joint::Thread& thread, Form& form, const Reading& reading) {
  const Measured nominal(units::value_in(thread.diameter(), units::millimetre), units::millimetre_unit());
  const auto not_wider = [](const Measured& a, const Measured& b) { return a.si() <= b.si() * (1 - 1e-9); };
  if (f.hole && f.hole->si() < nominal.si() * (1 - 1e-9))
    reading.error("out-of-domain",
                  fmt::format("the hole of fastener '{}' ({}) is narrower than its thread ({})", f.name,
                              units::format(*f.hole), units::format(nominal)),
                  form.key_at("hole"));
  const Measured inner = f.hole ? *f.hole : nominal;
  if (f.head.bearing && !not_wider(inner, *f.head.bearing))
    reading.error("out-of-domain",
                  fmt::format("the head of fastener '{}' bears on {}, which the hole ({}) takes away", f.name,
                              units::format(*f.head.bearing), units::format(inner)),
                  form.key_at("head"), "bearing is the outer diameter of the ring on which the head turns");
  if (f.washer && !not_wider(inner, f.washer->outer))
    reading.error("out-of-domain",
                  fmt::format("the washer of fastener '{}' is not wider than the hole", f.name),
                  form.key_at("washer"));
  for (const ShankPiece& piece : f.shank) {
    if (!piece.diameter) continue;
    const double ratio = piece.diameter->si() / nominal.si();
    if (ratio >= 0.25 && ratio <= 2) continue;
    reading.error("out-of-domain",
                  fmt::format("a shank of {} does not belong to a thread of {}",
                              units::format(*piece.diameter), units::format(nominal)),
                  form.key_at("shank"), "allowed: a quarter to twice the thread's diameter");
  }
}

double total_shank(const Fastener& f) {
  double sum = 0;
  for (const ShankPiece& piece : f.shank) sum += piece.length.si();
  return sum;
}

}  // namespace

std::optional<Strength> read_strength(const YamlNode& node, const Reading& reading) {
  if (node.kind != YamlNode::Kind::map) {
    const auto text = read_text(node, "strength", reading);
    if (!text) return std::nullopt;
    return Strength{*text, {}};
  }
  Form form(node, "strength", reading);
  const YamlNode* yield = form.need("yield");
  const YamlNode* tensile = form.need("tensile");
  const YamlNode* elongation = form.need("elongation");
  const YamlNode* standing = form.take("standing");
  form.finish();
  if (yield == nullptr || tensile == nullptr || elongation == nullptr) return std::nullopt;
  const auto y = read_measured(*yield, "'yield'", Dimension::stress, reading);
  const auto t = read_measured(*tensile, "'tensile'", Dimension::stress, reading);
  const auto e = read_measured(*elongation, "'elongation'", Dimension::ratio, reading);
  const auto s =
      standing != nullptr
          ? read_choice(*standing, "standing", {"maker", "standard", "measured", "hearsay"}, reading)
          : std::optional<std::size_t>(static_cast<std::size_t>(Standing::hearsay));
  if (!y || !t || !e || !s) return std::nullopt;
  if (t->si() <= y->si()) {
    reading.error("out-of-domain", "the tensile strength must be above the yield strength", tensile->at);
    return std::nullopt;
  }
  if (e->si() >= 1) {
    reading.error("out-of-domain", "the elongation must be below 100 %", elongation->at, "write it like 9 %");
    return std::nullopt;
  }
  return Strength{{}, Strength::Own{*y, *t, *e, static_cast<Standing>(*s)}};
}

std::optional<Fastener> read_fastener(const YamlMember& member, const Reading& reading) {
  Form form(member.value, fmt::format("fastener '{}'", member.key), reading);
  if (!form.is_map()) return std::nullopt;
  Fastener f;
  f.name = member.key;
  f.at = member.key_at;
  if (const YamlNode* node = form.need("thread")) f.thread = read_text(*node, "thread", reading).value_or("");
  if (const YamlNode* node = form.need("strength"))
    f.strength = read_strength(*node, reading).value_or(Strength{});
  if (const YamlNode* node = form.take("head")) f.head = read_head(*node, reading);
  if (const YamlNode* node = form.take("turned"))
    f.nut_turned = read_choice(*node, "turned", {"head", "nut"}, reading) == 1;
  f.hole = form.measured("hole", Dimension::length);
  if (const YamlNode* node = form.take("washer")) f.washer = read_washer(*node, reading);
  f.grip = form.measured("grip", Dimension::length);
  const YamlNode* shank = form.take("shank");
  if (shank != nullptr)
    for (const YamlNode* piece : one_or_list(*shank))
      if (auto read = read_shank_piece(*piece, reading)) f.shank.push_back(*read);
  f.engagement = form.measured("engagement", Dimension::length);
  f.length = form.measured("length", Dimension::length);
  f.hole_depth = form.measured("hole_depth", Dimension::length);
  f.prevailing_torque = form.measured("prevailing_torque", Dimension::torque, true);
  if (const YamlNode* node = form.take("reuse")) f.reuse = read_reuse(*node, reading);
  f.treated = form.text_or_empty("treated");
  if (const YamlNode* node = form.take("joint")) f.joint = read_joint(*node, reading);
  if (const YamlNode* node = form.take("lubricant")) f.lubricant = read_lubrication(*node, reading);
  if (const auto named = check_thread(f, form, reading)) {
    check_strength(f, named->thread, form, reading);
    check_diameters(f, named->thread, form, reading);
  }
  form.finish();

  if (shank != nullptr && f.grip && total_shank(f) > f.grip->si() * (1 + 1e-9))
    reading.error("out-of-domain", fmt::format("the shank of fastener '{}' is longer than its grip", f.name),
                  shank->at, "the shank is the plain part inside the grip");
  if (f.grip && f.length && f.length->si() <= f.grip->si())
    reading.error("out-of-domain", fmt::format("fastener '{}' is not longer than its grip", f.name),
                  form.key_at("length"), "the length is measured from under the head to the tip");
  return f;
}

}  // namespace clampbook::schedule
