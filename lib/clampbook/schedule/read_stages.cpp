#include <clampbook/schedule/readers.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace clampbook::schedule {

using text::Location;
using units::Dimension;

namespace {

// What a stage may say besides its action.
constexpr std::array<std::string_view, 15> kOtherKeys{
    "name",         "bolts",  "order", "reverse", "tolerance", "source", "says", "written_for",
    "final_torque", "expect", "from",  "to",      "above",     "below",  "each"};

class StageReader {
 public:
  StageReader(const YamlNode& node, int number, const Schedule& schedule, const BoltIndex& index,
              const Reading& reading)
      : node_(node),
        form_(node, fmt::format("stage {}", number), reading),
        schedule_(schedule),
        index_(index),
        reading_(reading) {
    stage_.number = number;
    stage_.at = node.at;
    stage_.figure_at = node.at;
  }

  std::optional<Stage> read() {
    if (!form_.is_map()) return std::nullopt;
    const YamlNode* action = find_action();
    if (action == nullptr) return std::nullopt;
    stage_.figure_at = action->at;
    stage_.name = form_.text_or_empty("name");
    if (is_gate(stage_.kind)) {
      read_gate(*action);
    } else {
      read_bolt_stage(*action);
    }
    form_.finish();
    return std::move(stage_);
  }

 private:
  const YamlNode* find_action() {
    const YamlNode* found = nullptr;
    for (const StageKindRow& row : kStageKinds) {
      const StageKind kind = row.kind;
      const YamlNode* value = form_.take(row.name);
      if (value == nullptr) continue;
      if (found != nullptr) {
        text::Diagnostic two{
            "conflicting-keys",
            fmt::format("stage {} says '{}' and '{}'", stage_.number, name(stage_.kind), name(kind)),
            "one action in a stage; write two stages", form_.key_at(name(kind))};
        two.also = form_.key_at(name(stage_.kind));
        two.also_says = "the other one is here";
        reading_.out.add(std::move(two));
        return nullptr;
      }
      found = value;
      stage_.kind = kind;
      stage_.at = form_.key_at(name(kind));
    }
    if (found == nullptr) report_no_action();
    return found;
  }

  // A misspelt action leaves a key that no stage has: then that is the mistake.
  void report_no_action() {
    for (const std::string_view key : kOtherKeys) static_cast<void>(form_.take(key));
    const bool misspelt = std::any_of(node_.members.begin(), node_.members.end(),
                                      [&](const YamlMember& m) { return !form_.asked(m.key); });
    if (misspelt) {
      form_.finish();
      return;
    }
    std::vector<std::string_view> words;
    for (const StageKindRow& row : kStageKinds) words.push_back(row.name);
    reading_.error("missing-key", fmt::format("stage {} says nothing that is to be done", stage_.number),
                   node_.at, fmt::format("one of: {}", fmt::join(words, ", ")));
  }

  [[nodiscard]] std::string what() const { return fmt::format("'{}'", name(stage_.kind)); }

  void read_gate(const YamlNode& action);
  void read_bounds();
  void read_each(const YamlNode& node);
  void read_bolt_stage(const YamlNode& action);
  void read_action(const YamlNode& action);
  void read_tolerance();
  void read_stage_order();
  void read_origins();
  void read_written_for(const YamlNode& node);
  std::optional<std::string> read_source_name(const YamlNode& node);

  const YamlNode& node_;
  Form form_;
  const Schedule& schedule_;
  const BoltIndex& index_;
  const Reading& reading_;
  Stage stage_;
};

void StageReader::read_gate(const YamlNode& action) {
  if (stage_.kind == StageKind::wait) {
    stage_.wait = read_measured(action, what(), Dimension::time, reading_);
  } else {
    stage_.text = read_text(action, what(), reading_).value_or("");
    if (stage_.text.empty() && action.kind == YamlNode::Kind::scalar)
      reading_.error("wrong-shape", what() + " is empty", action.at);
  }
  if (stage_.kind == StageKind::count)
    if (const YamlNode* expect = form_.need("expect"))
      stage_.expect = read_count(*expect, "'expect'", reading_);
  if (stage_.kind == StageKind::measure) read_bounds();
  if (const YamlNode* each = form_.take("each")) read_each(*each);
}

void StageReader::read_bounds() {
  const auto bound = [&](std::string_view inclusive, std::string_view other, std::optional<Measured>& out) {
    const YamlNode* a = form_.take(inclusive);
    const YamlNode* b = form_.take(other);
    if (a != nullptr && b != nullptr)
      reading_.error("conflicting-keys", fmt::format("'{}' and '{}' say the same thing", inclusive, other),
                     form_.key_at(other), "keep one of the two");
    if (a != nullptr || b != nullptr)
      out = read_any(a != nullptr ? *a : *b, fmt::format("'{}'", a != nullptr ? inclusive : other), reading_);
  };
  bound("from", "above", stage_.low);
  bound("to", "below", stage_.high);
  if (!stage_.low || !stage_.high) return;
  if (stage_.low->dimension() != stage_.high->dimension()) {
    reading_.error("wrong-dimension",
                   fmt::format("one bound is {}, the other {}", units::with_article(stage_.low->dimension()),
                               units::with_article(stage_.high->dimension())),
                   stage_.at);
    stage_.high.reset();
  } else if (stage_.low->si() > stage_.high->si()) {
    reading_.error("out-of-domain", "the lower bound lies above the upper one", stage_.at);
  }
}

void StageReader::read_each(const YamlNode& node) {
  if (node.kind == YamlNode::Kind::sequence) {
    for (const YamlNode& item : node.items) {
      const auto label = read_text(item, "a label", reading_);
      if (!label) continue;
      if (label->empty() || std::find(stage_.each.begin(), stage_.each.end(), *label) != stage_.each.end()) {
        reading_.error("duplicate-id", fmt::format("the label '{}' stands twice or is empty", *label),
                       item.at);
      } else {
        stage_.each.push_back(*label);
      }
    }
    return;
  }
  stage_.each_bolt = read_choice(node, "each", {"bolts"}, reading_).has_value();
}

void StageReader::read_bolt_stage(const YamlNode& action) {
  read_action(action);
  if (const YamlNode* bolts = form_.take("bolts")) {
    stage_.all_bolts = false;
    stage_.bolts = read_bolt_selection(*bolts, schedule_, index_, reading_);
    stage_.bolts_given = bolts->scalar;
    if (bolts->kind == YamlNode::Kind::sequence && bolts->items.empty())
      reading_.error("wrong-shape", "the list of bolts is empty", bolts->at);
  } else {
    stage_.bolts.resize(schedule_.bolts.size());
    for (std::size_t i = 0; i < stage_.bolts.size(); ++i) stage_.bolts[i] = i;
  }
  read_tolerance();
  read_stage_order();
  if (const YamlNode* node = form_.take("final_torque")) {
    if (!row(stage_.kind).turns_on) {
      reading_.error("conflicting-keys",
                     fmt::format("'final_torque' has no meaning on a {} stage", name(stage_.kind)),
                     form_.key_at("final_torque"), "it belongs to angle, stretch and yield stages");
    } else {
      stage_.final_torque = read_target(*node, "'final_torque'", Dimension::torque, reading_);
    }
  }
  read_origins();
}

void StageReader::read_action(const YamlNode& action) {
  const bool word = action.kind == YamlNode::Kind::scalar;
  switch (stage_.kind) {
    case StageKind::snug:
      if (word && action.scalar == "by hand") return;
      break;
    case StageKind::loosen:
      if (word && action.scalar == "fully") return;
      break;
    case StageKind::recheck:
      if (word && action.scalar == "same") {
        stage_.same_torque = true;
        return;
      }
      break;
    case StageKind::yield: {
      const auto share = read_measured(action, what(), Dimension::ratio, reading_);
      if (!share) return;
      if (share->si() >= 1) {
        reading_.error("out-of-domain", "'yield' is a share below 100 %", action.at,
                       "yield: 50 % stops when the torque rises half as fast as at its steepest");
      } else {
        stage_.yield_share = share->si();
      }
      return;
    }
    default:
      break;
  }
  stage_.target = read_target(action, what(), *row(stage_.kind).figure, reading_);
}

void StageReader::read_tolerance() {
  const YamlNode* node = form_.take("tolerance");
  if (node == nullptr) return;
  if (!stage_.target) {
    if (stage_.same_torque || stage_.yield_share || !row(stage_.kind).sentence_without_figure.empty())
      reading_.error(
          "conflicting-keys",
          fmt::format("a tolerance has no figure to belong to on this {} stage", name(stage_.kind)),
          form_.key_at("tolerance"));
    return;
  }
  if (stage_.target->low) {
    reading_.error("conflicting-keys",
                   fmt::format("stage {} has a tolerance in its figure and one besides", stage_.number),
                   form_.key_at("tolerance"), "keep one of the two");
    return;
  }
  const auto text = read_text(*node, "'tolerance'", reading_);
  if (!text) return;
  ToleranceScan scan = scan_tolerance(*text, *row(stage_.kind).figure);
  if (!scan.tolerance) {
    reading_.error(scan.fault.slug, fmt::format("'tolerance': {}", scan.fault.message),
                   node->part(scan.fault.at, scan.fault.length), scan.fault.help);
    return;
  }
  const Window window = window_of(stage_.target->nominal, *scan.tolerance);
  constexpr double kMost = 1000;  // as a multiple of the figure: more than a slip of the pen
  if (window.low.number() < 0 || window.high.number() > kMost * stage_.target->nominal.number()) {
    reading_.error("out-of-domain", "the tolerance is larger than the figure", node->at);
    return;
  }
  stage_.tolerance = scan.tolerance;
}

void StageReader::read_stage_order() {
  const YamlNode* order = form_.take("order");
  stage_.reverse = form_.truth("reverse").value_or(false);
  if (order == nullptr) return;
  if (order->kind == YamlNode::Kind::scalar && order->scalar == "reverse") {
    stage_.reverse = true;
    return;
  }
  stage_.order = read_order(*order, schedule_, index_, reading_);
  if (!stage_.order || stage_.order->kind != OrderKind::explicit_list) return;
  std::vector<std::size_t> sorted = stage_.order->bolts;
  std::sort(sorted.begin(), sorted.end());
  if (sorted != stage_.bolts)
    reading_.error("bad-order",
                   fmt::format("the order of stage {} does not name each of its bolts once", stage_.number),
                   order->at);
}

std::optional<std::string> StageReader::read_source_name(const YamlNode& node) {
  auto word = read_text(node, "source", reading_);
  if (!word) return std::nullopt;
  if (schedule_.find_source(*word) != nullptr) return word;
  std::vector<std::string_view> names;
  for (const SourceNote& s : schedule_.sources) names.push_back(s.name);
  reading_.unknown_word("source", *word, node.at, names);
  return std::nullopt;
}

void StageReader::read_origins() {
  if (const YamlNode* source = form_.take("source"))
    for (const YamlNode* item : one_or_list(*source))
      if (auto word = read_source_name(*item)) stage_.sources.push_back(std::move(*word));
  if (const YamlNode* says = form_.take("says")) {
    const std::optional<Dimension> dimension = row(stage_.kind).figure;
    if (says->kind != YamlNode::Kind::map) {
      reading_.error("wrong-shape",
                     fmt::format("'says' is {} where each source has its figure", says->shape()), says->at,
                     "says: {sheet: 30 N·m, almanac: 34 N·m}");
    } else if (!dimension) {
      reading_.error("conflicting-keys",
                     fmt::format("'says' has no meaning on a {} stage", name(stage_.kind)),
                     form_.key_at("says"));
    } else {
      for (const YamlMember& member : says->members) {
        YamlNode word;
        word.kind = YamlNode::Kind::scalar;
        word.scalar = member.key;
        word.at = member.key_at;
        auto source = read_source_name(word);
        auto figure = read_target(member.value, fmt::format("'{}'", member.key), *dimension, reading_);
        if (source && figure) stage_.says.push_back({std::move(*source), std::move(*figure)});
      }
    }
  }
  if (const YamlNode* written_for = form_.take("written_for")) read_written_for(*written_for);
}

void StageReader::read_written_for(const YamlNode& node) {
  Form form(node, "written_for", reading_);
  if (!form.is_map()) return;
  WrittenFor out;
  const auto take = [&](std::string_view key, std::optional<std::string>& into) {
    if (const YamlNode* value = form.take(key)) into = read_text(*value, fmt::format("'{}'", key), reading_);
  };
  take("thread", out.thread);
  take("strength", out.strength);
  take("lubricant", out.lubricant);
  form.finish();
  stage_.written_for = std::move(out);
}

// recheck: same takes the torque of the bolt's last torque stage before it.
void check_same_torque(const Schedule& schedule, const Reading& reading) {
  for (const Stage& stage : schedule.stages) {
    if (!stage.same_torque) continue;
    for (const std::size_t bolt : stage.bolts) {
      if (schedule.torque_stage_before(stage, bolt) != nullptr) continue;
      reading.error(
          "missing-key",
          fmt::format("'recheck: same' finds no torque stage of bolt {} before it", schedule.bolts[bolt].id),
          stage.figure_at, "write the torque: recheck: 50 N·m");
      break;
    }
  }
}

}  // namespace

void read_stages(const YamlNode& node, Schedule& schedule, const BoltIndex& index, const Reading& reading) {
  if (node.kind != YamlNode::Kind::sequence || node.items.empty()) {
    reading.error("wrong-shape",
                  fmt::format("'stages' is {} where a list is expected",
                              node.kind == YamlNode::Kind::sequence ? "an empty list" : node.shape()),
                  node.at, "stages: [{snug: 8 N·m}, {torque: 30 N·m}]");
    return;
  }
  if (node.items.size() > kMostStages) {
    reading.error("too-large", fmt::format("{} stages; {} at most", node.items.size(), kMostStages), node.at);
    return;
  }
  std::size_t steps = 0;
  int number = 0;
  for (const YamlNode& item : node.items) {
    auto stage = StageReader(item, ++number, schedule, index, reading).read();
    if (!stage) continue;
    steps += stage->each_bolt ? schedule.bolts.size()
                              : std::max({stage->bolts.size(), stage->each.size(), std::size_t{1}});
    schedule.stages.push_back(std::move(*stage));
  }
  if (steps > kMostSteps)
    reading.error("too-large", fmt::format("{} steps; {} at most", steps, kMostSteps), node.at);
  check_same_torque(schedule, reading);
}

}  // namespace clampbook::schedule
