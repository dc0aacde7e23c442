#include <clampbook/schedule/form.h>
#include <clampbook/schedule/line_template.h>
#include <clampbook/schedule/tool_list.h>
#include <clampbook/text/error.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace clampbook::schedule {

using std::chrono::year_month_day;
using units::Dimension;
using units::Measured;

namespace {

constexpr double kWorstAccuracy = 0.5;

// "2026-02-10": four, two and two digits, and a day that the calendar has.
std::optional<year_month_day> scan_date(std::string_view text) {
  constexpr std::size_t kLength = 10;
  if (text.size() != kLength) return std::nullopt;
  for (std::size_t i = 0; i < kLength; ++i) {
    const bool hyphen = i == 4 || i == 7;
    if (hyphen ? text[i] != '-' : text[i] < '0' || text[i] > '9') return std::nullopt;
  }
  const auto number = [&](std::size_t from, std::size_t count) {
    int n = 0;
    for (const char c : text.substr(from, count)) n = n * 10 + (c - '0');
    return n;
  };
  const year_month_day day(std::chrono::year(number(0, 4)),
                           std::chrono::month(static_cast<unsigned>(number(5, 2))),
                           std::chrono::day(static_cast<unsigned>(number(8, 2))));
  return day.ok() ? std::optional(day) : std::nullopt;
}

std::optional<year_month_day> read_date(Form& form, std::string_view key) {
  const YamlNode* node = form.take(key);
  if (node == nullptr) return std::nullopt;
  const auto text = read_text(*node, fmt::format("'{}'", key), form.reading());
  if (!text) return std::nullopt;
  const auto date = scan_date(*text);
  if (!date) {
    form.reading().error("bad-time", fmt::format("'{}': '{}' is not a day", key, *text), node->at,
                         "year, month and day, for example 2026-02-10");
  }
  return date;
}

Calibration read_calibration(Form& form) {
  const Calibration out{read_date(form, "calibrated"), read_date(form, "due")};
  if (out.done && out.due && *out.due <= *out.done) {
    form.reading().error("out-of-domain",
                         fmt::format("{} is due on the day of its calibration or before", form.what()),
                         form.key_at("due"));
  }
  return out;
}

std::optional<Window> read_range(Form& form) {
  const YamlNode* node = form.need("range");
  if (node == nullptr) return std::nullopt;
  const auto target = read_target(*node, "'range'", Dimension::torque, form.reading());
  if (!target) return std::nullopt;
  if (!target->low) {
    form.reading().error("wrong-shape", fmt::format("'range': {} is one figure", target->given), node->at,
                         "write the lowest and the highest setting: 5..25 N·m");
    return std::nullopt;
  }
  if (target->low->si() >= target->high->si()) {
    form.reading().error("out-of-domain", fmt::format("'range': {} has no width", target->given), node->at,
                         "write the lowest and the highest setting: 5..25 N·m");
    return std::nullopt;
  }
  return Window{*target->low, *target->high};
}

/// A share above zero and at most a half.
std::optional<Measured> read_share(Form& form) {
  const YamlNode* node = form.need("accuracy");
  if (node == nullptr) return std::nullopt;
  const auto share = read_measured(*node, "'accuracy'", Dimension::ratio, form.reading());
  if (share && share->si() > kWorstAccuracy) {
    form.reading().error("out-of-domain",
                         fmt::format("'accuracy': {} is no torque wrench's limit of error", node->scalar),
                         node->at, "above 0, at most 50 %; for example 4 %");
    return std::nullopt;
  }
  return share;
}

std::optional<ToolAdapter> read_adapter(const YamlNode& node, const Reading& reading) {
  Form form(node, "adapter", reading);
  if (!form.is_map()) return std::nullopt;
  std::optional<Measured> reach;
  if (const YamlNode* value = form.need("reach"))
    reach = read_measured(*value, "'reach'", Dimension::length, reading);
  Measured angle(0, units::degree_unit());
  bool sound = true;
  if (form.has("angle")) {
    const auto read = form.measured("angle", Dimension::angle, true);
    sound = read.has_value();
    if (read) angle = *read;
    if (read && read->in(units::degree_unit()) > 180 * (1 + 1e-9)) {
      reading.error("out-of-domain", fmt::format("'angle': {} is more than 180°", units::format(*read)),
                    form.key_at("angle"), "counted from straight on, to either side");
      sound = false;
    }
  } else {
    static_cast<void>(form.take("angle"));
  }
  form.finish();
  return reach && sound ? std::optional(ToolAdapter{*reach, angle}) : std::nullopt;
}

// Without the length no setting can be computed, and a hand that stands at the bolt has no lever.
void check_adapter(const TorqueWrench& wrench, const Form& form) {
  if (!wrench.adapter) return;
  if (!wrench.length) {
    if (!form.has("length"))
      form.reading().error("missing-key", fmt::format("{} has an adapter and no 'length'", form.what()),
                           form.key_at("adapter"), "add length: ..., from the square to the hand");
    return;
  }
  const double lever =
      wrench.length->si() + wrench.adapter->reach.si() * std::cos(wrench.adapter->angle.si());
  if (lever > 1e-9 * wrench.length->si()) return;
  form.reading().error("out-of-domain",
                       fmt::format("the adapter of {} puts the hand at the bolt or behind it", form.what()),
                       form.key_at("adapter"), "an adapter that points back must be shorter than the wrench");
}

const units::Unit* read_unit(Form& form) {
  const YamlNode* node = form.take("unit");
  if (node == nullptr) return nullptr;
  const auto word = read_text(*node, "'unit'", form.reading());
  if (!word) return nullptr;
  const units::Unit* unit = units::find_unit(*word);
  if (unit == nullptr) {
    form.reading().error("unknown-unit", fmt::format("'unit': '{}' is not a unit", *word), node->at,
                         units::unit_help(*word));
  } else if (unit->dimension != Dimension::torque) {
    form.reading().error(
        "wrong-dimension",
        fmt::format("'unit': {} is a unit of {}, not of torque", *word, units::name(unit->dimension)),
        node->at, "N·m, ft·lbf, in·lbf, kgf·m ...");
    return nullptr;
  }
  return unit;
}

void read_lines(Form& form, TorqueWrench& wrench) {
  const Reading& reading = form.reading();
  if (const YamlNode* node = form.take("decimal")) {
    const auto choice = read_choice(*node, "decimal", {"point", "comma"}, reading);
    wrench.decimal = choice == 1 ? DecimalSign::comma : DecimalSign::point;
  }
  wrench.ignore = form.text_or_empty("ignore");
  const YamlNode* node = form.take("line");
  if (node == nullptr) return;
  const auto text = read_text(*node, "'line'", reading);
  if (!text) return;
  wrench.line = *text;
  if (const auto fault = check_line_template(*text, wrench.decimal))
    reading.error(fault->slug, fmt::format("'line': {}", fault->message),
                  node->part(fault->at, fault->length), fault->help);
}

std::optional<TorqueWrench> read_wrench(const YamlMember& member, const Reading& reading) {
  Form form(member.value, fmt::format("torque wrench '{}'", member.key), reading);
  if (!form.is_map()) return std::nullopt;
  const std::optional<Window> range = read_range(form);
  const std::optional<Measured> accuracy = read_share(form);
  // Stand-ins let the other keys be read and complained of in the same run.
  const Window any{Measured(0, units::newton_metre_unit()), Measured(1, units::newton_metre_unit())};
  TorqueWrench wrench{member.key, member.key_at, range.value_or(any),
                      accuracy.value_or(Measured(1, units::percent_unit()))};
  wrench.calibration = read_calibration(form);
  wrench.length = form.measured("length", Dimension::length);
  if (const YamlNode* node = form.take("adapter")) wrench.adapter = read_adapter(*node, reading);
  check_adapter(wrench, form);
  if (const YamlNode* node = form.take("indicates")) {
    const auto choice = read_choice(*node, "indicates", {"click", "value"}, reading);
    if (choice) wrench.indicates = *choice == 0 ? Indicates::click : Indicates::value;
  }
  wrench.unit = read_unit(form);
  read_lines(form, wrench);
  form.finish();
  return range && accuracy ? std::optional(std::move(wrench)) : std::nullopt;
}

std::optional<Gauge> read_gauge(const YamlMember& member, std::string_view kind, Dimension dimension,
                                const Reading& reading) {
  Form form(member.value, fmt::format("{} gauge '{}'", kind, member.key), reading);
  if (!form.is_map()) return std::nullopt;
  const YamlNode* node = form.need("accuracy");
  const auto accuracy =
      node != nullptr ? read_measured(*node, "'accuracy'", dimension, reading) : std::nullopt;
  const Calibration calibration = read_calibration(form);
  form.finish();
  if (!accuracy) return std::nullopt;
  return Gauge{member.key, member.key_at, *accuracy, calibration};
}

// `log --tool NAME` must mean one tool, of whatever kind.
class Names {
 public:
  void add(const YamlMember& member, const Reading& reading) {
    const auto [first, fresh] = seen_.try_emplace(member.key, member.key_at);
    if (fresh) return;
    text::Diagnostic d{"duplicate-id", fmt::format("two tools are called '{}'", member.key),
                       "give one of them another name", member.key_at};
    d.also = first->second;
    reading.out.add(std::move(d));
  }

 private:
  std::map<std::string, text::Location> seen_;
};

template <class Read>
void read_kind(Form& form, std::string_view key, std::string_view example, Names& names, Read read) {
  const YamlNode* node = form.take(key);
  if (node == nullptr) return;
  const bool is_map = node->kind == YamlNode::Kind::map;
  if (!is_map || node->members.empty()) {
    form.reading().error(
        "wrong-shape",
        fmt::format("'{}' is {} where names with keys are expected", key, is_map ? "empty" : node->shape()),
        node->at, fmt::format("{}: {}", key, example));
    return;
  }
  for (const YamlMember& member : node->members) {
    names.add(member, form.reading());
    read(member);
  }
}

ToolList read(const YamlNode& root, const Reading& reading) {
  ToolList tools;
  Form form(root, "the tool list", reading);
  static_cast<void>(form.take("format"));
  tools.title = form.text_or_empty("title");
  tools.notice = form.text_or_empty("notice");
  Names names;
  const auto gauges = [&](std::vector<Gauge>& out, std::string_view kind, Dimension dimension) {
    return [&out, kind, dimension, &reading](const YamlMember& member) {
      if (auto gauge = read_gauge(member, kind, dimension, reading)) out.push_back(std::move(*gauge));
    };
  };
  read_kind(form, "torque_wrenches", "{small: {range: 5..25 N·m, accuracy: 4 %}}", names,
            [&](const YamlMember& member) {
              if (auto wrench = read_wrench(member, reading))
                tools.torque_wrenches.push_back(std::move(*wrench));
            });
  read_kind(form, "angle_gauges", "{dial: {accuracy: 2°}}", names,
            gauges(tools.angle_gauges, "angle", Dimension::angle));
  read_kind(form, "length_gauges", "{micrometer: {accuracy: 0.005 mm}}", names,
            gauges(tools.length_gauges, "length", Dimension::length));
  form.finish();
  const bool named = form.has("torque_wrenches") || form.has("angle_gauges") || form.has("length_gauges");
  if (!named) {
    reading.error("missing-key", "the tool list names no tool", form.at(),
                  "add torque_wrenches:, angle_gauges: or length_gauges:");
  }
  return tools;
}

}  // namespace

ToolList read_tools(const text::SourcePtr& source) {
  text::Diagnostics problems;
  const Reading reading{source, problems};
  const std::optional<YamlNode> root = read_yaml(source, problems);
  std::optional<ToolList> tools;
  if (root && check_format(*root, "tool list", reading)) tools = read(*root, reading);
  if (!problems.empty()) {
    std::size_t more = 0;
    std::vector<text::Diagnostic> kept = problems.take(more);
    throw InputError(std::move(kept), more);
  }
  return std::move(*tools);
}

}  // namespace clampbook::schedule
