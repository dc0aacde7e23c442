#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/readers.h>
#include <clampbook/text/error.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace clampbook::schedule {

namespace {

void read_sources(const YamlNode& node, Schedule& schedule, const Reading& reading) {
  if (node.kind != YamlNode::Kind::map) {
    reading.error("wrong-shape",
                  fmt::format("'sources' is {} where names with texts are expected", node.shape()), node.at,
                  "sources: {sheet: {text: \"Works sheet 4\", standing: maker}}");
    return;
  }
  for (const YamlMember& member : node.members) {
    Form form(member.value, fmt::format("source '{}'", member.key), reading);
    SourceNote note{member.key, {}, Standing::hearsay};
    if (const YamlNode* text = form.need("text"))
      note.text = read_text(*text, "'text'", reading).value_or("");
    if (const YamlNode* standing = form.need("standing"))
      note.standing = static_cast<Standing>(
          read_choice(*standing, "standing", {"maker", "standard", "measured", "hearsay"}, reading)
              .value_or(3));
    form.finish();
    schedule.sources.push_back(std::move(note));
  }
}

void read_fasteners(const YamlNode& node, Schedule& schedule, const Reading& reading) {
  if (node.kind != YamlNode::Kind::map || node.members.empty()) {
    reading.error("wrong-shape",
                  fmt::format("'fasteners' is {} where names with keys are expected", node.shape()), node.at,
                  "fasteners: {case-bolt: {thread: M10, strength: \"10.9\"}}");
    return;
  }
  for (const YamlMember& member : node.members) {
    auto fastener = read_fastener(member, reading);
    if (!fastener) {  // keep its name known, so that the bolts that use it raise no second complaint
      fastener.emplace();
      fastener->name = member.key;
      fastener->at = member.key_at;
    }
    schedule.fasteners.push_back(std::move(*fastener));
  }
}

// The washer and the layers fill the grip: a figure that is wrong by a washer moves the elastic angle.
void check_grips(const Schedule& schedule, const Reading& reading) {
  for (const Fastener& f : schedule.fasteners) {
    const Joint* joint = schedule.joint_of(f);
    if (joint == nullptr || joint->layers.empty() || !f.grip) continue;
    double sum = f.washer ? f.washer->thickness.si() : 0;
    for (const Layer& layer : joint->layers) sum += layer.thickness.si();
    if (std::fabs(sum - f.grip->si()) <= 1e-6 + 1e-9 * f.grip->si()) continue;
    const units::Measured total =
        units::Measured(sum * 1e3, units::millimetre_unit()).converted_to(f.grip->unit());
    reading.error("out-of-domain",
                  fmt::format("the grip of fastener '{}' is {}, but washer and layers add up to {}", f.name,
                              units::format(*f.grip), units::format(total)),
                  f.at, "the grip is measured from the head to the thread, washer included");
  }
}

void check_explicit_order(const Schedule& schedule, const YamlNode& node, const Reading& reading) {
  const bool whole = schedule.order.bolts.size() == node.items.size();  // else an id was refused already
  if (schedule.order.kind == OrderKind::explicit_list && whole &&
      schedule.order.bolts.size() != schedule.bolts.size())
    reading.error(
        "bad-order",
        fmt::format("the order names {} of {} bolts", schedule.order.bolts.size(), schedule.bolts.size()),
        node.at, "name each bolt once");
}

Schedule read(const YamlNode& root, const Reading& reading) {
  Schedule schedule;
  schedule.source = reading.source;
  Form form(root, "the schedule", reading);
  static_cast<void>(form.take("format"));
  if (const YamlNode* title = form.need("title"))
    schedule.title = read_text(*title, "title", reading).value_or("");
  schedule.machine = form.text_or_empty("machine");
  schedule.notice = form.text_or_empty("notice");
  schedule.view = form.text_or_empty("view");
  if (const YamlNode* node = form.take("sources")) read_sources(*node, schedule, reading);
  if (const YamlNode* node = form.need("fasteners")) read_fasteners(*node, schedule, reading);
  if (const YamlNode* node = form.take("joint")) schedule.joint = read_joint(*node, reading);
  if (const YamlNode* node = form.take("lubricant")) schedule.lubricant = read_lubrication(*node, reading);
  BoltIndex index;
  const YamlNode* bolts = form.need("bolts");
  if (bolts != nullptr) read_bolts(*bolts, schedule, index, reading);
  if (const YamlNode* node = form.take("order")) {
    if (auto order = read_order(*node, schedule, index, reading)) schedule.order = std::move(*order);
    check_explicit_order(schedule, *node, reading);
  }
  if (const YamlNode* node = form.take("by")) {
    schedule.by =
        read_choice(*node, "by", {"joint", "group"}, reading) == 1 ? Completion::group : Completion::joint;
    if (schedule.by == Completion::group && schedule.groups().empty())
      reading.error("missing-key", "'by: group' needs the bolts to name their groups", node->at,
                    "add group: to each bolt");
  }
  if (const YamlNode* node = form.need("stages"); node != nullptr && !schedule.bolts.empty())
    read_stages(*node, schedule, index, reading);
  form.finish();
  check_grips(schedule, reading);
  return schedule;
}

}  // namespace

Schedule read_schedule(const text::SourcePtr& source) {
  text::Diagnostics problems;
  const Reading reading{source, problems};
  const std::optional<YamlNode> root = read_yaml(source, problems);
  std::optional<Schedule> schedule;
  if (root && check_format(*root, "fastener schedule", reading)) schedule = read(*root, reading);
  if (!problems.empty()) {
    std::size_t more = 0;
    std::vector<text::Diagnostic> kept = problems.take(more);
    throw InputError(std::move(kept), more);
  }
  return std::move(*schedule);
}

}  // namespace clampbook::schedule
