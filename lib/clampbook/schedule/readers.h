// The parts of the schedule reader, one file each; only this room includes it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/schedule/form.h>
#include <clampbook/schedule/model.h>

#include <map>
#include <string>
#include <unordered_map>

namespace clampbook::schedule {

[[nodiscard]] std::optional<Fastener> read_fastener(const YamlMember& member, const Reading& reading);
[[nodiscard]] std::optional<Strength> read_strength(const YamlNode& node, const Reading& reading);
[[nodiscard]] std::optional<Joint> read_joint(const YamlNode& node, const Reading& reading);
[[nodiscard]] std::optional<Lubrication> read_lubrication(const YamlNode& node, const Reading& reading);

/// Bolts by id, for stages and orders.
using BoltIndex = std::unordered_map<std::string, std::size_t>;

void read_bolts(const YamlNode& node, Schedule& schedule, BoltIndex& index, const Reading& reading);
/// Ids in a list, or one group: indices in list order. Reports unknown-bolt and duplicate-id.
[[nodiscard]] std::vector<std::size_t> read_bolt_selection(const YamlNode& node, const Schedule& schedule,
                                                           const BoltIndex& index, const Reading& reading);
[[nodiscard]] std::optional<OrderRule> read_order(const YamlNode& node, const Schedule& schedule,
                                                  const BoltIndex& index, const Reading& reading);
void read_stages(const YamlNode& node, Schedule& schedule, const BoltIndex& index, const Reading& reading);

}  // namespace clampbook::schedule
