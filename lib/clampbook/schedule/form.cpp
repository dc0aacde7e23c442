#include <clampbook/schedule/form.h>
#include <clampbook/text/number.h>
#include <clampbook/text/words.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace clampbook::schedule {

using text::Location;
using units::Dimension;
using units::Measured;

void Reading::unknown_word(std::string_view what, std::string_view word, const Location& at,
                           const std::vector<std::string_view>& words, std::string_view slug) const {
  std::string help = text::did_you_mean(word, words);
  if (help.empty() && !words.empty() && words.size() <= 12)
    help = "known here: " + text::list_words(words, "and");
  error(slug, fmt::format("{} '{}' is not known", what, word), at, std::move(help));
}

Form::Form(const YamlNode& node, std::string what, const Reading& reading)
    : node_(node), what_(std::move(what)), reading_(reading), is_map_(node.kind == YamlNode::Kind::map) {
  if (!is_map_)
    reading_.error("wrong-shape",
                   fmt::format("{} is {} where keys with values are expected", what_, node.shape()), node.at);
}

bool Form::has(std::string_view key) const {
  return std::any_of(node_.members.begin(), node_.members.end(),
                     [&](const YamlMember& m) { return m.key == key; });
}

Location Form::key_at(std::string_view key) const {
  for (const YamlMember& member : node_.members)
    if (member.key == key) return member.key_at;
  return node_.at;
}

const YamlNode* Form::take(std::string_view key) {
  asked_.push_back(key);
  for (const YamlMember& member : node_.members)
    if (member.key == key) return &member.value;
  return nullptr;
}

const YamlNode* Form::need(std::string_view key) {
  const YamlNode* found = take(key);
  if (found == nullptr && is_map_)
    reading_.error("missing-key", fmt::format("{} has no '{}'", what_, key), node_.at,
                   fmt::format("add {}: ...", key));
  return found;
}

void Form::finish() const {
  for (const YamlMember& member : node_.members)
    if (!asked(member.key))
      reading_.unknown_word(what_ + ": the key", member.key, member.key_at, asked_, "unknown-key");
}

std::string Form::text_or_empty(std::string_view key) {
  const YamlNode* node = take(key);
  if (node == nullptr || (node->kind == YamlNode::Kind::scalar && node->scalar.empty())) return {};
  return read_text(*node, fmt::format("'{}'", key), reading_).value_or(std::string());
}

std::optional<Measured> Form::measured(std::string_view key, Dimension dimension, bool zero_allowed) {
  const YamlNode* node = take(key);
  if (node == nullptr) return std::nullopt;
  return read_measured(*node, fmt::format("'{}'", key), dimension, reading_, zero_allowed);
}

std::optional<bool> Form::truth(std::string_view key) {
  const YamlNode* node = take(key);
  if (node == nullptr) return std::nullopt;
  if (const auto choice = read_choice(*node, fmt::format("'{}'", key), {"true", "false"}, reading_))
    return *choice == 0;
  return std::nullopt;
}

namespace {

bool expect_scalar(const YamlNode& node, std::string_view what, const Reading& reading) {
  if (node.kind == YamlNode::Kind::scalar) return true;
  reading.error("wrong-shape", fmt::format("{} is {} where one value is expected", what, node.shape()),
                node.at);
  return false;
}

void report(const YamlNode& node, const TargetFault& fault, std::string_view what, const Reading& reading) {
  reading.error(fault.slug, fmt::format("{}: {}", what, fault.message), node.part(fault.at, fault.length),
                fault.help);
}

// From the smallest to the largest figure that a joint, its tools or a gate can have. Within it every product
// of the physics stays finite, and so does every figure in another unit.
struct Reach {
  Measured least, most;
};

std::optional<Reach> reach_of(Dimension dimension) {
  const auto from_to = [&](double least, double most) {
    const units::Unit& unit = units::machine_unit(dimension);
    return Reach{Measured(least, unit), Measured(most, unit)};
  };
  switch (dimension) {
    case Dimension::torque:
      return from_to(1e-6, 1e8);
    case Dimension::length:
      return from_to(1e-5, 1e7);
    case Dimension::stress:
      return from_to(1e-3, 1e8);
    case Dimension::force:
    case Dimension::stiffness:
    case Dimension::angle:
    case Dimension::time:
      return from_to(1e-6, 1e12);
    case Dimension::ratio:
      return from_to(1e-6, 1e6);
    case Dimension::temperature:
      return from_to(0, 1e6);
  }
  return std::nullopt;
}

// Reports a figure that nobody can have meant.
bool within_reach(const Measured& figure, const YamlNode& node, std::string_view what,
                  const Reading& reading) {
  const std::optional<Reach> reach = reach_of(figure.dimension());
  const double size = std::fabs(figure.machine_value());
  if (!reach || figure.number() == 0 || (size >= reach->least.number() && size <= reach->most.number()))
    return true;
  reading.error(
      "out-of-domain",
      fmt::format("{}: {} is {} than any {} in a joint", what, node.scalar,
                  size > reach->most.number() ? "larger" : "smaller", units::name(figure.dimension())),
      node.at, fmt::format("allowed: {} to {}", units::print(reach->least), units::print(reach->most)));
  return false;
}

std::optional<Measured> read_quantity(const YamlNode& node, std::string_view what,
                                      std::optional<Dimension> dimension, const Reading& reading) {
  if (!expect_scalar(node, what, reading)) return std::nullopt;
  const units::Unit* fallback = dimension == Dimension::ratio ? &units::one_unit() : nullptr;
  const units::MeasuredScan scan = units::scan_whole_measured(node.scalar, fallback);
  if (!scan) {
    std::string help = scan.help;
    if (scan.slug == "missing-unit" && dimension)
      help = fmt::format("put the unit after the number, for example: {}",
                         units::print(Measured(scan.number, units::machine_unit(*dimension))));
    report(node, {std::string(scan.slug), scan.message, std::move(help), scan.fault_at, scan.fault_length},
           what, reading);
    return std::nullopt;
  }
  const Measured out(scan.number, *scan.unit);
  if (dimension && out.dimension() != *dimension) {
    reading.error("wrong-dimension",
                  fmt::format("{}: {} is {}, not {}", what, node.scalar, units::with_article(out.dimension()),
                              units::with_article(*dimension)),
                  node.at,
                  *dimension == Dimension::ratio
                      ? "for example 4 %"
                      : fmt::format("for example in {}", units::machine_unit(*dimension).spelling));
    return std::nullopt;
  }
  return within_reach(out, node, what, reading) ? std::optional(out) : std::nullopt;
}

}  // namespace

std::optional<std::string> read_text(const YamlNode& node, std::string_view what, const Reading& reading) {
  if (!expect_scalar(node, what, reading)) return std::nullopt;
  return node.scalar;
}

std::optional<Measured> read_measured(const YamlNode& node, std::string_view what, Dimension dimension,
                                      const Reading& reading, bool zero_allowed) {
  const std::optional<Measured> out = read_quantity(node, what, dimension, reading);
  if (out && (zero_allowed ? out->number() < 0 : out->number() <= 0)) {
    reading.error(
        "out-of-domain",
        fmt::format("{}: {} must be {}", what, node.scalar, zero_allowed ? "zero or more" : "more than zero"),
        node.at);
    return std::nullopt;
  }
  return out;
}

std::optional<Measured> read_signed(const YamlNode& node, std::string_view what, Dimension dimension,
                                    const Reading& reading) {
  return read_quantity(node, what, dimension, reading);
}

std::optional<Measured> read_any(const YamlNode& node, std::string_view what, const Reading& reading) {
  return read_quantity(node, what, std::nullopt, reading);
}

std::optional<std::int64_t> read_count(const YamlNode& node, std::string_view what, const Reading& reading) {
  if (!expect_scalar(node, what, reading)) return std::nullopt;
  const text::NumberScan scan = text::scan_number(node.scalar);
  if (!scan) {
    reading.error(text::slug(scan.fault),
                  fmt::format("{}: {}", what, text::describe(scan.fault, node.scalar)), node.at,
                  text::suggest(scan.fault, node.scalar));
    return std::nullopt;
  }
  const auto whole = scan.value >= 0 && scan.value <= 1e9 ? static_cast<std::int64_t>(scan.value) : -1;
  if (whole < 0 || static_cast<double>(whole) != scan.value) {
    reading.error("out-of-domain",
                  fmt::format("{}: {} is not a whole number from 0 to 1000000000", what, node.scalar),
                  node.at);
    return std::nullopt;
  }
  return whole;
}

std::optional<Target> read_target(const YamlNode& node, std::string_view what, Dimension dimension,
                                  const Reading& reading) {
  if (!expect_scalar(node, what, reading)) return std::nullopt;
  TargetScan scan = scan_target(node.scalar, dimension);
  if (!scan.target) {
    report(node, scan.fault, what, reading);
    return std::nullopt;
  }
  const Target& target = *scan.target;
  if (target.nominal.number() <= 0 || (target.low && target.low->number() < 0)) {
    reading.error("out-of-domain", fmt::format("{}: {} must be more than zero", what, node.scalar), node.at);
    return std::nullopt;
  }
  for (const Measured& figure : {target.nominal, target.high.value_or(target.nominal)})
    if (!within_reach(figure, node, what, reading)) return std::nullopt;
  return std::move(scan.target);
}

std::optional<std::size_t> read_choice(const YamlNode& node, std::string_view what,
                                       const std::vector<std::string_view>& words, const Reading& reading) {
  if (!expect_scalar(node, what, reading)) return std::nullopt;
  const auto found = std::find(words.begin(), words.end(), node.scalar);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  reading.unknown_word(what, node.scalar, node.at, words);
  return std::nullopt;
}

std::vector<const YamlNode*> one_or_list(const YamlNode& node) {
  if (node.kind != YamlNode::Kind::sequence) return {&node};
  std::vector<const YamlNode*> out;
  for (const YamlNode& item : node.items) out.push_back(&item);
  return out;
}

Location whole_file(const text::SourcePtr& source) {
  return {source, 0, 1};
}

bool check_format(const YamlNode& root, std::string_view kind, const Reading& reading) {
  const std::string help = fmt::format("begin the file with: format: {} 1", kind);
  if (root.kind != YamlNode::Kind::map) {
    reading.error("wrong-format",
                  fmt::format("the file holds {} where keys with values are expected", root.shape()),
                  whole_file(reading.source), help);
    return false;
  }
  if (root.members.empty() || root.members.front().key != "format") {
    reading.error("wrong-format", "the first key is not 'format'",
                  root.members.empty() ? whole_file(reading.source) : root.members.front().key_at, help);
    return false;
  }
  const YamlNode& value = root.members.front().value;
  if (value.kind == YamlNode::Kind::scalar && value.scalar == fmt::format("{} 1", kind)) return true;
  static constexpr std::array<std::string_view, 3> kKinds{"fastener schedule 1", "tool list 1", "build 1"};
  std::string message = fmt::format("this is not a {}", kind);
  std::string advice = help;
  if (value.kind == YamlNode::Kind::scalar) {
    if (std::find(kKinds.begin(), kKinds.end(), value.scalar) != kKinds.end()) {
      message = fmt::format("this is a {}, where a {} is expected",
                            value.scalar.substr(0, value.scalar.size() - 2), kind);
      advice = "is this the right file?";
    } else if (value.scalar.starts_with(std::string(kind) + " ")) {
      message = fmt::format("version {} of the format is not known to this program",
                            value.scalar.substr(kind.size() + 1));
      advice = "a newer program may read it; this one reads version 1";
    } else {
      message = fmt::format("'{}' is not a kind of file that is known here", value.scalar);
    }
  }
  reading.error("wrong-format", message, value.at, advice);
  return false;
}

}  // namespace clampbook::schedule
