#include <clampbook/schedule/build.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/readers.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <map>

namespace clampbook::schedule {

namespace {

constexpr std::size_t kLongestName = 64;

/// A schedule may serve several operations, each with its own bolts: it is read once.
class Schedules {
 public:
  explicit Schedules(const Reading& reading) : reading_(reading) {}

  /// The schedule at the path, or nullptr after its problems were reported.
  const Schedule* read(const YamlNode& node, const std::string& path) {
    const auto [found, fresh] = known_.try_emplace(path);
    if (fresh) found->second = load(node, path);
    return found->second ? &*found->second : nullptr;
  }

 private:
  std::optional<Schedule> load(const YamlNode& node, const std::string& path) {
    const std::filesystem::path folder = std::filesystem::path(reading_.source->name()).parent_path();
    text::SourcePtr source;
    try {
      source = text::read_file((folder / path).string(), kLargestFile);
      return read_schedule(source);
    } catch (const InputError& e) {
      for (text::Diagnostic d : e.diagnostics()) {
        if (source == nullptr) {  // it has no place of its own: the line that names it is the place
          d.message = fmt::format("'{}' {}", path, d.message);
          d.help = "the path counts from the folder of the build file";
          d.file.clear();
          d.at = node.at;
        }
        reading_.out.add(std::move(d));
      }
      reading_.out.add_more(e.more());
    }
    return std::nullopt;
  }

  const Reading& reading_;
  std::map<std::string, std::optional<Schedule>> known_;
};

class OperationReader {
 public:
  OperationReader(const YamlNode& node, std::size_t number, const Build& build, Schedules* schedules,
                  const Reading& reading)
      : node_(node),
        form_(node, fmt::format("operation {}", number), reading),
        build_(build),
        schedules_(schedules),
        reading_(reading) {
    operation_.at = node.at;
  }

  std::optional<Operation> read() {
    if (!form_.is_map()) return std::nullopt;
    const YamlNode* name = form_.need("name");
    if (name != nullptr) read_name(*name);
    const YamlNode* schedule = form_.take("schedule");
    const YamlNode* stages = form_.take("stages");
    const YamlNode* only = form_.take("only");
    if (const YamlNode* after = form_.take("after")) read_after(*after);
    form_.finish();
    // A key that no operation has may be the one that is missing: then that is the mistake.
    const bool misspelt = std::any_of(node_.members.begin(), node_.members.end(),
                                      [&](const YamlMember& m) { return !form_.asked(m.key); });
    if (schedule != nullptr && stages != nullptr) {
      refuse_both();
    } else if (schedule != nullptr) {
      read_schedule_file(*schedule, only);
    } else if (stages != nullptr) {
      read_own_gates(*stages, only);
    } else if (!misspelt) {
      reading_.error("missing-key", fmt::format("{} has neither 'schedule' nor 'stages'", form_.what()),
                     form_.at(), "add schedule: FILE, or stages: [{do: ...}]");
    }
    if (name == nullptr || operation_.name.empty()) return std::nullopt;
    return std::move(operation_);
  }

 private:
  void read_name(const YamlNode& node) {
    operation_.at = node.at;
    const auto name = read_text(node, "name", reading_);
    if (!name) return;
    if (name->empty() || text::count_characters(*name) > kLongestName || text::printable(*name) != *name ||
        name->find_first_of("\t\n") != std::string::npos) {
      reading_.error("wrong-shape", fmt::format("'{}' can't be an operation's name", *name), node.at,
                     fmt::format("a name has 1 to {} characters", kLongestName));
      return;
    }
    operation_.name = *name;
  }

  // Whether the names are known is seen when all operations are read.
  void read_after(const YamlNode& node) {
    for (const YamlNode* item : one_or_list(node))
      if (const auto name = read_text(*item, "'after'", reading_)) operation_.after.push_back(*name);
  }

  void refuse_both() {
    text::Diagnostic two{"conflicting-keys",
                         fmt::format("{} has a 'schedule' and 'stages' of its own", form_.what()),
                         "write two operations", form_.key_at("stages")};
    two.also = form_.key_at("schedule");
    two.also_says = "the other one is here";
    reading_.out.add(std::move(two));
  }

  void read_schedule_file(const YamlNode& node, const YamlNode* only) {
    const auto path = read_text(node, "'schedule'", reading_);
    if (!path) return;
    operation_.file = *path;
    if (schedules_ == nullptr) return;
    const Schedule* schedule = schedules_->read(node, *path);
    if (schedule == nullptr) return;
    operation_.schedule = *schedule;
    if (only != nullptr) read_only(*only);
  }

  void read_only(const YamlNode& node) {
    const bool empty_list = node.kind == YamlNode::Kind::sequence && node.items.empty();
    if (empty_list || node.kind == YamlNode::Kind::map || node.kind == YamlNode::Kind::null) {
      reading_.error("wrong-shape",
                     fmt::format("'only' is {} where a group or a list of bolts is expected",
                                 empty_list ? "an empty list" : node.shape()),
                     node.at, "only: [1, 2], or the name of a group");
      return;
    }
    BoltIndex index;
    for (std::size_t i = 0; i < operation_.schedule.bolts.size(); ++i)
      index.emplace(operation_.schedule.bolts[i].id, i);
    operation_.only = read_bolt_selection(node, operation_.schedule, index, reading_);
  }

  void read_own_gates(const YamlNode& node, const YamlNode* only) {
    Schedule& schedule = operation_.schedule;
    schedule.source = reading_.source;
    schedule.title = fmt::format("{}: {}", build_.title, operation_.name);
    schedule.machine = build_.machine;
    schedule.notice = build_.notice;
    if (only != nullptr)
      reading_.error("conflicting-keys",
                     fmt::format("{} has no bolts for 'only' to choose from", form_.what()),
                     form_.key_at("only"), "'only' belongs to a schedule");
    read_stages(node, schedule, {}, reading_);
    for (const Stage& stage : schedule.stages) {
      if (is_gate(stage.kind) && !stage.each_bolt) continue;
      reading_.error("conflicting-keys",
                     fmt::format("stage {} needs bolts, which {} has not", stage.number, form_.what()),
                     stage.at, "write bolts and stages in a schedule, and name it: schedule: FILE");
    }
  }

  const YamlNode& node_;
  Form form_;
  const Build& build_;
  Schedules* schedules_;
  const Reading& reading_;
  Operation operation_;
};

void check_names(const Build& build, const Reading& reading) {
  for (const Operation& operation : build.operations) {
    const Operation* first = build.find(operation.name);
    if (first == &operation) continue;
    text::Diagnostic twice{"duplicate-id", fmt::format("there are two operations '{}'", operation.name),
                           "give each operation a name of its own", operation.at};
    twice.also = first->at;
    reading.out.add(std::move(twice));
  }
}

// The names in each `after:` by their places. False when one is not known.
bool check_after(const YamlNode& list, const Build& build, const Reading& reading) {
  std::vector<std::string_view> names;
  for (const Operation& operation : build.operations) names.push_back(operation.name);
  bool known = true;
  for (const YamlNode& item : list.items)
    for (const YamlMember& member : item.members) {
      if (member.key != "after") continue;
      std::vector<std::string> seen;
      for (const YamlNode* word : one_or_list(member.value)) {
        if (word->kind != YamlNode::Kind::scalar) continue;
        if (build.find(word->scalar) == nullptr) {
          known = false;
          reading.unknown_word("operation", word->scalar, word->at, names, "unknown-operation");
        } else if (std::find(seen.begin(), seen.end(), word->scalar) != seen.end()) {
          reading.error("duplicate-id", fmt::format("'{}' stands twice in this list", word->scalar),
                        word->at);
        }
        seen.push_back(word->scalar);
      }
    }
  return known;
}

// "a after b after a": the ring that is met by always going to the first operation that is still waited for.
void report_ring(const Build& build, const Reading& reading) {
  const std::vector<std::size_t> order = build.in_order();
  if (order.size() == build.operations.size()) return;
  const auto in_ring = [&](const Operation& o) {
    return std::find(order.begin(), order.end(), static_cast<std::size_t>(&o - build.operations.data())) ==
           order.end();
  };
  const Operation* at = &*std::find_if(build.operations.begin(), build.operations.end(), in_ring);
  std::vector<const Operation*> path;
  while (std::find(path.begin(), path.end(), at) == path.end()) {
    path.push_back(at);
    for (const std::string& name : at->after)
      if (const Operation* earlier = build.find(name); in_ring(*earlier)) {
        at = earlier;
        break;
      }
  }
  path.erase(path.begin(), std::find(path.begin(), path.end(), at));
  std::string words;
  for (const Operation* o : path) words += fmt::format("'{}' after ", o->name);
  reading.error("bad-order", fmt::format("these operations wait for each other: {}'{}'", words, at->name),
                at->at, "take one of these names out of its 'after'");
}

Build read(const YamlNode& root, bool with_files, const Reading& reading) {
  Build build;
  build.source = reading.source;
  Form form(root, "the build", reading);
  static_cast<void>(form.take("format"));
  if (const YamlNode* title = form.need("title"))
    build.title = read_text(*title, "title", reading).value_or("");
  build.machine = form.text_or_empty("machine");
  build.notice = form.text_or_empty("notice");
  const YamlNode* list = form.need("operations");
  form.finish();
  if (list == nullptr) return build;
  if (list->kind != YamlNode::Kind::sequence || list->items.empty()) {
    reading.error("wrong-shape",
                  fmt::format("'operations' is {} where a list is expected",
                              list->kind == YamlNode::Kind::sequence ? "an empty list" : list->shape()),
                  list->at, "operations: [{name: casing, schedule: casing.yaml}]");
    return build;
  }
  if (list->items.size() > kMostOperations) {
    reading.error("too-large", fmt::format("{} operations; {} at most", list->items.size(), kMostOperations),
                  list->at);
    return build;
  }
  Schedules schedules(reading);
  std::size_t number = 0;
  bool whole = true;
  for (const YamlNode& item : list->items) {
    auto operation =
        OperationReader(item, ++number, build, with_files ? &schedules : nullptr, reading).read();
    whole = whole && operation.has_value();
    if (operation) build.operations.push_back(std::move(*operation));
  }
  check_names(build, reading);
  // An operation that could not be read would be missed by name: one complaint is enough.
  if (whole && check_after(*list, build, reading)) report_ring(build, reading);
  return build;
}

Build read_checked(const text::SourcePtr& source, bool with_files) {
  text::Diagnostics problems;
  const Reading reading{source, problems};
  const std::optional<YamlNode> root = read_yaml(source, problems);
  std::optional<Build> build;
  if (root && check_format(*root, "build", reading)) build = read(*root, with_files, reading);
  if (!problems.empty()) {
    std::size_t more = 0;
    std::vector<text::Diagnostic> kept = problems.take(more);
    throw InputError(std::move(kept), more);
  }
  return std::move(*build);
}

}  // namespace

Build read_build(const text::SourcePtr& source) {
  return read_checked(source, true);
}

Schedule read_own_gates(const text::SourcePtr& source, std::string_view operation) {
  Build build = read_checked(source, false);
  for (Operation& o : build.operations)
    if (o.name == operation && o.has_own_gates()) return std::move(o.schedule);
  throw InputError(text::Diagnostic{"unknown-operation",
                                    fmt::format("no operation '{}' has gates of its own", operation), "",
                                    whole_file(source)});
}

}  // namespace clampbook::schedule
