#include <clampbook/joint/thread_name.h>
#include <clampbook/schedule/model.h>

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <stdexcept>

namespace clampbook::schedule {

std::string_view name(Standing standing) {
  switch (standing) {
    case Standing::maker:
      return "maker";
    case Standing::standard:
      return "standard";
    case Standing::measured:
      return "measured";
    case Standing::hearsay:
      return "hearsay";
  }
  throw std::logic_error("a standing without a name");
}

std::string_view name(ReuseKind kind) {
  switch (kind) {
    case ReuseKind::unsaid:
      return "unsaid";
    case ReuseKind::never:
      return "never";
    case ReuseKind::unlimited:
      return "unlimited";
    case ReuseKind::times:
      return "times";
    case ReuseKind::growth_below:
      return "growth_below";
  }
  throw std::logic_error("a rule of reuse without a name");
}

std::string Strength::text() const {
  return own ? std::string("own figures") : designation;
}

std::string OrderRule::text() const {
  std::string out;
  switch (kind) {
    case OrderKind::listed:
      out = "listed";
      break;
    case OrderKind::centre_out:
      out = "centre_out";
      break;
    case OrderKind::star:
      out = "star";
      break;
    case OrderKind::circle:
      out = "circle";
      break;
    case OrderKind::explicit_list:
      out = "as given";
      break;
  }
  return reverse ? out + ", reversed" : out;
}

const SourceNote* Schedule::find_source(std::string_view wanted) const {
  const auto found =
      std::find_if(sources.begin(), sources.end(), [&](const SourceNote& s) { return s.name == wanted; });
  return found == sources.end() ? nullptr : &*found;
}

const Lubrication* Schedule::lubrication(const Fastener& fastener) const {
  if (fastener.lubricant) return &*fastener.lubricant;
  return lubricant ? &*lubricant : nullptr;
}

const Joint* Schedule::joint_of(const Fastener& fastener) const {
  if (fastener.joint) return &*fastener.joint;
  return joint ? &*joint : nullptr;
}

units::System Schedule::written_in() const {
  units::TorqueTally tally;
  for (const Stage& stage : stages)
    if (stage.target) tally.add(stage.target->nominal);
  if (const auto most = tally.most()) return *most;
  const auto thread = joint::find_thread(fasteners.empty() ? "" : fasteners.front().thread);
  return thread && thread->thread.form() == joint::ThreadForm::unified ? units::System::imperial
                                                                       : units::System::metric;
}

const Stage* Schedule::torque_stage_before(const Stage& stage, std::size_t bolt) const {
  const Stage* last = nullptr;
  for (const Stage& earlier : stages) {
    if (&earlier == &stage) break;
    if (earlier.kind == StageKind::torque &&
        std::binary_search(earlier.bolts.begin(), earlier.bolts.end(), bolt))
      last = &earlier;
  }
  return last;
}

std::vector<std::string> Schedule::groups() const {
  std::vector<std::string> out;
  std::set<std::string_view> seen;
  for (const Bolt& bolt : bolts)
    if (!bolt.group.empty() && seen.insert(bolt.group).second) out.push_back(bolt.group);
  return out;
}

}  // namespace clampbook::schedule
