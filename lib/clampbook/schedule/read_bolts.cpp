#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/readers.h>
#include <clampbook/text/error.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <set>

namespace clampbook::schedule {

using text::Location;
using units::Dimension;

namespace {

constexpr std::size_t kLongestId = 32;

// Stands for an id that could not be read; no id holds a comma.
constexpr const char* kNoId = ",";

struct BoltNode {
  std::string id;
  Location id_at, at;
  bool has_fastener = false, has_group = false, has_position = false;
};

std::optional<std::string> read_id(const YamlNode& node, const Reading& reading) {
  auto id = read_text(node, "id", reading);
  if (!id) return std::nullopt;
  const bool printable = text::printable(*id) == *id;
  if (id->empty() || text::count_characters(*id) > kLongestId ||
      id->find_first_of(",\t\n") != std::string::npos || id->front() == ' ' || id->back() == ' ' ||
      !printable) {
    reading.error("wrong-shape", fmt::format("'{}' can't be a bolt's id", *id), node.at,
                  fmt::format("an id has 1 to {} characters and no comma", kLongestId));
    return std::nullopt;
  }
  return id;
}

void read_position(const YamlNode& node, Bolt& bolt, const Reading& reading) {
  if (node.kind != YamlNode::Kind::sequence || node.items.size() != 2) {
    reading.error("wrong-shape", "'at' is two lengths, across and up", node.at, "at: [-160 mm, 55 mm]");
    return;
  }
  bolt.x = read_signed(node.items[0], "'at'", Dimension::length, reading);
  bolt.y = read_signed(node.items[1], "'at'", Dimension::length, reading);
}

// `fastener:` by name; left out where there is one.
void read_bolt_fastener(Form& form, Bolt& bolt, const Schedule& schedule, const Reading& reading) {
  const YamlNode* node = form.take("fastener");
  if (node == nullptr) {
    if (schedule.fasteners.size() > 1)
      reading.error("missing-key", "a bolt has no 'fastener' though the schedule has several", form.at(),
                    "add fastener: NAME");
    return;
  }
  const auto name = read_text(*node, "fastener", reading);
  if (!name) return;
  const auto found = std::find_if(schedule.fasteners.begin(), schedule.fasteners.end(),
                                  [&](const Fastener& f) { return f.name == *name; });
  if (found != schedule.fasteners.end()) {
    bolt.fastener = static_cast<std::size_t>(found - schedule.fasteners.begin());
    return;
  }
  std::vector<std::string_view> names;
  for (const Fastener& f : schedule.fasteners) names.push_back(f.name);
  reading.unknown_word("fastener", *name, node->at, names, "unknown-fastener");
}

// A key that some bolts have, all must have.
void require_all(const std::vector<BoltNode>& seen, bool BoltNode::*has, std::string_view key,
                 const Reading& reading) {
  const auto with = static_cast<std::size_t>(
      std::count_if(seen.begin(), seen.end(), [&](const BoltNode& b) { return b.*has; }));
  if (with == 0 || with == seen.size()) return;
  const auto without = std::find_if(seen.begin(), seen.end(), [&](const BoltNode& b) { return !(b.*has); });
  reading.error("missing-key",
                fmt::format("bolt {}has no '{}' though others have",
                            without->id == kNoId ? "" : without->id + " ", key),
                without->at, fmt::format("give every bolt its '{}', or none", key));
}

void check_ids(const std::vector<BoltNode>& seen, const Schedule& schedule, BoltIndex& index,
               const Reading& reading) {
  for (std::size_t i = 0; i < seen.size(); ++i) {
    if (seen[i].id == kNoId) continue;  // already reported
    const auto [first, fresh] = index.emplace(seen[i].id, i);
    if (fresh) continue;
    text::Diagnostic twice{"duplicate-id", fmt::format("bolt {} is listed twice", seen[i].id),
                           "give each bolt an id of its own", seen[i].id_at};
    twice.also = seen[first->second].id_at;
    reading.out.add(std::move(twice));
  }
  for (const std::string& group : schedule.groups())
    if (const auto clash = index.find(group); clash != index.end())
      reading.error("duplicate-id", fmt::format("'{}' is a bolt's id and a group", group),
                    seen[clash->second].id_at, "a list of bolts could mean either");
}

}  // namespace

void read_bolts(const YamlNode& node, Schedule& schedule, BoltIndex& index, const Reading& reading) {
  if (node.kind != YamlNode::Kind::sequence || node.items.empty()) {
    reading.error("wrong-shape",
                  fmt::format("'bolts' is {} where a list is expected",
                              node.kind == YamlNode::Kind::sequence ? "an empty list" : node.shape()),
                  node.at, "bolts: [{id: 1, at: [0 mm, 0 mm]}]");
    return;
  }
  if (node.items.size() > kMostBolts) {
    reading.error("too-large", fmt::format("{} bolts; {} at most", node.items.size(), kMostBolts), node.at);
    return;
  }
  std::vector<BoltNode> seen;
  seen.reserve(node.items.size());
  schedule.bolts.reserve(node.items.size());
  for (const YamlNode& item : node.items) {
    Form form(item, "a bolt", reading);
    Bolt bolt;
    BoltNode record{kNoId, item.at, item.at};
    if (const YamlNode* id = form.need("id")) {
      record.id_at = id->at;
      if (auto text = read_id(*id, reading)) record.id = *text;
    }
    bolt.id = record.id;
    if (const YamlNode* at = form.take("at")) {
      record.has_position = true;
      read_position(*at, bolt, reading);
    }
    read_bolt_fastener(form, bolt, schedule, reading);
    bolt.group = form.text_or_empty("group");
    record.has_group = !bolt.group.empty();
    form.finish();
    schedule.bolts.push_back(std::move(bolt));
    seen.push_back(std::move(record));
  }
  require_all(seen, &BoltNode::has_position, "at", reading);
  require_all(seen, &BoltNode::has_group, "group", reading);
  check_ids(seen, schedule, index, reading);
}

namespace {

std::optional<std::size_t> find_bolt(const YamlNode& node, const Schedule& schedule, const BoltIndex& index,
                                     const Reading& reading) {
  const auto id = read_text(node, "a bolt's id", reading);
  if (!id) return std::nullopt;
  if (const auto found = index.find(*id); found != index.end()) return found->second;
  std::vector<std::string_view> ids;
  for (const Bolt& bolt : schedule.bolts) ids.push_back(bolt.id);
  reading.unknown_word("bolt", *id, node.at, ids, "unknown-bolt");
  return std::nullopt;
}

// The bolts of a list of ids in the order written.
std::vector<std::size_t> read_id_list(const YamlNode& node, const Schedule& schedule, const BoltIndex& index,
                                      const Reading& reading) {
  std::vector<std::size_t> out;
  std::set<std::size_t> seen;
  for (const YamlNode& item : node.items) {
    const auto bolt = find_bolt(item, schedule, index, reading);
    if (!bolt) continue;
    if (seen.insert(*bolt).second) {
      out.push_back(*bolt);
    } else {
      reading.error("duplicate-id",
                    fmt::format("bolt {} stands twice in this list", schedule.bolts[*bolt].id), item.at);
    }
  }
  return out;
}

}  // namespace

std::vector<std::size_t> read_bolt_selection(const YamlNode& node, const Schedule& schedule,
                                             const BoltIndex& index, const Reading& reading) {
  std::vector<std::size_t> out;
  if (node.kind == YamlNode::Kind::sequence) {
    out = read_id_list(node, schedule, index, reading);
    std::sort(out.begin(), out.end());
    return out;
  }
  const auto word = read_text(node, "'bolts'", reading);
  if (!word) return out;
  for (std::size_t i = 0; i < schedule.bolts.size(); ++i)
    if (schedule.bolts[i].group == *word) out.push_back(i);
  if (!out.empty()) return out;
  const std::vector<std::string> groups = schedule.groups();
  reading.unknown_word("group", *word, node.at, {groups.begin(), groups.end()});
  return out;
}

std::optional<OrderRule> read_order(const YamlNode& node, const Schedule& schedule, const BoltIndex& index,
                                    const Reading& reading) {
  if (node.kind == YamlNode::Kind::sequence)
    return OrderRule{OrderKind::explicit_list, false, read_id_list(node, schedule, index, reading)};
  const auto choice =
      read_choice(node, "order", {"listed", "centre_out", "star", "circle", "reverse"}, reading);
  if (!choice) return std::nullopt;
  // Of the schedule itself: its list backwards. A stage's `order: reverse` does not come here.
  if (*choice == 4) return OrderRule{OrderKind::listed, true, {}};
  const auto kind = static_cast<OrderKind>(*choice);  // the words stand in the order of the enum
  if (kind != OrderKind::listed && !schedule.has_positions()) {
    reading.error("bad-order", fmt::format("the order '{}' needs to know where each bolt is", node.scalar),
                  node.at, "give every bolt its at: [across, up], or write the order as a list of ids");
    return std::nullopt;
  }
  return OrderRule{kind, false, {}};
}

namespace {

class Selector {
 public:
  Selector(const Schedule& schedule, text::SourcePtr given) : schedule_(schedule), given_(std::move(given)) {
    for (std::size_t i = 0; i < schedule.bolts.size(); ++i) index_.emplace(schedule.bolts[i].id, i);
  }

  std::vector<std::size_t> select() {
    const std::string_view text = given_->text();
    for (std::size_t i = 0; i < schedule_.bolts.size(); ++i)
      if (!text.empty() && schedule_.bolts[i].group == text) chosen_.insert(i);
    if (chosen_.empty())
      for (std::size_t at = 0; at <= text.size();) {
        const std::size_t comma = std::min(text.find(',', at), text.size());
        add(text.substr(at, comma - at), at);
        at = comma + 1;
      }
    return {chosen_.begin(), chosen_.end()};
  }

 private:
  void add(std::string_view word, std::size_t at) {
    while (!word.empty() && word.front() == ' ') {
      word.remove_prefix(1);
      ++at;
    }
    while (!word.empty() && word.back() == ' ') word.remove_suffix(1);
    if (const auto found = index_.find(std::string(word)); found != index_.end()) {
      chosen_.insert(found->second);
      return;
    }
    if (add_range(word, at)) return;
    std::vector<std::string_view> known;
    for (const Bolt& bolt : schedule_.bolts) known.push_back(bolt.id);
    const std::vector<std::string> groups = schedule_.groups();
    known.insert(known.end(), groups.begin(), groups.end());
    unknown(word, at, known);
  }

  bool add_range(std::string_view word, std::size_t at) {
    const std::size_t dash = word.find('-');
    int first = 0, last = 0;
    if (dash == std::string_view::npos || !whole(word.substr(0, dash), first) ||
        !whole(word.substr(dash + 1), last))
      return false;
    if (first > last)
      throw InputError({"wrong-shape", fmt::format("the range {} runs backwards", word),
                        "write the lower number first", Location{given_, at, word.size()}});
    if (last - first > 100000) unknown(word, at, {});
    for (int id = first; id <= last; ++id) {
      const std::string name = std::to_string(id);
      const auto found = index_.find(name);
      if (found == index_.end()) unknown(name, at, {});
      chosen_.insert(found->second);
    }
    return true;
  }

  static bool whole(std::string_view text, int& value) {
    const auto read = std::from_chars(text.data(), text.data() + text.size(), value);
    return read.ec == std::errc() && read.ptr == text.data() + text.size() && value >= 0;
  }

  [[noreturn]] void unknown(std::string_view word, std::size_t at,
                            const std::vector<std::string_view>& known) const {
    text::Diagnostics out;
    Reading{given_, out}.unknown_word(
        "bolt", word, Location{given_, at, std::max<std::size_t>(word.size(), 1)}, known, "unknown-bolt");
    std::size_t more = 0;
    throw InputError(out.take(more));
  }

  const Schedule& schedule_;
  text::SourcePtr given_;
  BoltIndex index_;
  std::set<std::size_t> chosen_;
};

}  // namespace

std::vector<std::size_t> select_bolts(const Schedule& schedule, const text::SourcePtr& given) {
  return Selector(schedule, given).select();
}

}  // namespace clampbook::schedule
