#include <clampbook/joint/lubricant.h>
#include <clampbook/joint/material.h>
#include <clampbook/schedule/readers.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::schedule {

using units::Dimension;

namespace {

// `material:` or `modulus:`, one of the two.
void read_stiffness(Form& form, std::string& material, std::optional<Measured>& modulus, bool needed) {
  const YamlNode* by_name = form.take("material");
  modulus = form.measured("modulus", Dimension::stress);
  if (by_name != nullptr) {
    material = read_text(*by_name, "material", form.reading()).value_or("");
    const auto found = joint::find_material(material);
    if (!material.empty() && !found)
      form.reading().error("unknown-word", found.failure().message, by_name->at, found.failure().help);
  }
  if (by_name != nullptr && form.has("modulus"))
    form.reading().error("conflicting-keys", fmt::format("{} has both 'material' and 'modulus'", form.what()),
                         form.key_at("modulus"), "keep one of the two");
  if (needed && by_name == nullptr && !form.has("modulus") && form.is_map())
    form.reading().error("missing-key", fmt::format("{} has neither 'material' nor 'modulus'", form.what()),
                         form.at());
}

std::optional<Layer> read_layer(const YamlNode& node, const Reading& reading) {
  Form form(node, "a layer", reading);
  std::string material;
  std::optional<Measured> modulus;
  read_stiffness(form, material, modulus, true);
  const YamlNode* thickness_node = form.need("thickness");
  const auto thickness = thickness_node != nullptr
                             ? read_measured(*thickness_node, "'thickness'", Dimension::length, reading)
                             : std::nullopt;
  const auto outer = form.measured("outer", Dimension::length);
  form.finish();
  if (!thickness) return std::nullopt;
  return Layer{std::move(material), modulus, *thickness, outer};
}

std::optional<Into> read_into(const YamlNode& node, const Reading& reading) {
  Form form(node, "into", reading);
  Into into;
  read_stiffness(form, into.material, into.modulus, false);
  if (const YamlNode* thread = form.need("thread"))
    into.nut = read_choice(*thread, "thread", {"tapped", "nut"}, reading) == 1;
  form.finish();
  return into;
}

std::optional<double> read_friction_value(std::string_view text, std::size_t offset, const YamlNode& node,
                                          std::string_view what, const Reading& reading) {
  const units::MeasuredScan scan = units::scan_whole_measured(text, &units::one_unit());
  if (!scan) {
    reading.error(scan.slug, fmt::format("{}: {}", what, scan.message),
                  node.part(offset + scan.fault_at, scan.fault_length), scan.help);
    return std::nullopt;
  }
  if (scan.unit->dimension != Dimension::ratio) {
    reading.error("wrong-dimension", fmt::format("{}: {} is not a bare number", what, text),
                  node.part(offset, text.size()));
    return std::nullopt;
  }
  const double value = Measured(scan.number, *scan.unit).si();
  if (value < 0.01 || value > 1) {
    reading.error("out-of-domain", fmt::format("{}: {} is outside 0.01 to 1", what, text),
                  node.part(offset, text.size()), "friction is usually between 0.04 and 0.35");
    return std::nullopt;
  }
  return value;
}

// "0.12", or "0.10..0.16". One value alone counts as plus and minus 20 %.
std::optional<FrictionRange> read_friction(const YamlNode& node, std::string_view what,
                                           const Reading& reading) {
  const auto text = read_text(node, what, reading);
  if (!text) return std::nullopt;
  std::size_t dash = text->find("..");
  std::size_t width = 2;
  if (dash == std::string::npos) {
    dash = text->find("\u2013");
    width = 3;
  }
  if (dash == std::string::npos) {
    const auto value = read_friction_value(*text, 0, node, what, reading);
    if (!value) return std::nullopt;
    return FrictionRange{*value * 0.8, std::min(*value * 1.2, 1.0), *value};
  }
  const std::string_view whole(*text);
  const auto low = read_friction_value(whole.substr(0, dash), 0, node, what, reading);
  const auto high = read_friction_value(whole.substr(dash + width), dash + width, node, what, reading);
  if (!low || !high) return std::nullopt;
  if (*low >= *high) {
    reading.error("out-of-domain", fmt::format("{}: the range {} runs backwards", what, *text), node.at,
                  "write the lower end first");
    return std::nullopt;
  }
  return FrictionRange{*low, *high, (*low + *high) / 2};
}

std::optional<Lubricant> read_lubricant(const YamlNode& node, std::string_view what, const Reading& reading) {
  if (node.kind != YamlNode::Kind::map) {
    const auto text = read_text(node, what, reading);
    if (!text) return std::nullopt;
    const auto found = joint::find_lubricant(*text);
    if (!found) {
      reading.error("unknown-word", found.failure().message, node.at, found.failure().help);
      return std::nullopt;
    }
    const auto range = [](const joint::FrictionRange& r) { return FrictionRange{r.low, r.high, r.nominal}; };
    return Lubricant{*text, range(found->thread), range(found->seat), {}, *text};
  }
  Form form(node, std::string(what), reading);
  Lubricant out;
  const YamlNode* factor = form.take("nut_factor");
  const YamlNode* thread = factor == nullptr ? form.need("thread") : form.take("thread");
  const YamlNode* seat = factor == nullptr ? form.need("seat") : form.take("seat");
  form.finish();
  if (factor != nullptr && (thread != nullptr || seat != nullptr)) {
    reading.error("conflicting-keys", fmt::format("{} has a nut factor and friction figures", what),
                  form.key_at("nut_factor"), "keep {nut_factor: ...} or {thread: ..., seat: ...}");
    return std::nullopt;
  }
  const auto given = [](const YamlNode* n) { return n != nullptr ? n->scalar : std::string(); };
  if (factor != nullptr) {
    out.nut_factor = read_friction(*factor, "'nut_factor'", reading);
    out.given = "nut factor " + given(factor);
    return out.nut_factor ? std::optional(out) : std::nullopt;
  }
  if (thread == nullptr || seat == nullptr) return std::nullopt;
  out.thread = read_friction(*thread, "'thread'", reading);
  out.seat = read_friction(*seat, "'seat'", reading);
  out.given = fmt::format("friction {} in the thread, {} under the head", given(thread), given(seat));
  return out.thread && out.seat ? std::optional(out) : std::nullopt;
}

}  // namespace

std::optional<Joint> read_joint(const YamlNode& node, const Reading& reading) {
  Form form(node, "joint", reading);
  if (!form.is_map()) return std::nullopt;
  Joint joint;
  if (const YamlNode* layers = form.take("layers")) {
    if (layers->kind != YamlNode::Kind::sequence) {
      reading.error("wrong-shape", fmt::format("'layers' is {} where a list is expected", layers->shape()),
                    layers->at, "layers: [{material: grey iron, thickness: 77 mm, outer: 30 mm}]");
    } else {
      for (const YamlNode& item : layers->items)
        if (auto layer = read_layer(item, reading)) joint.layers.push_back(std::move(*layer));
    }
  }
  if (const YamlNode* into = form.take("into")) joint.into = read_into(*into, reading);
  form.finish();
  return joint;
}

std::optional<Lubrication> read_lubrication(const YamlNode& node, const Reading& reading) {
  if (node.kind == YamlNode::Kind::scalar && !node.scalar.empty()) {
    reading.error(
        "wrong-shape", "lubricant: one name does not say whether the figures assume it or the bolts have it",
        node.at, fmt::format("lubricant: {{stated: {0}, used: {0}}}", text::printable(node.scalar)));
    return std::nullopt;
  }
  Form form(node, "lubricant", reading);
  if (!form.is_map()) return std::nullopt;
  Lubrication out;
  if (const YamlNode* stated = form.take("stated")) out.stated = read_lubricant(*stated, "stated", reading);
  if (const YamlNode* used = form.take("used")) out.used = read_lubricant(*used, "used", reading);
  form.finish();
  return out;
}

}  // namespace clampbook::schedule
