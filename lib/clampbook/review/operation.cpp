#include <clampbook/plan/prepare.h>
#include <clampbook/review/finding.h>
#include <clampbook/review/operation.h>
#include <clampbook/schedule/build.h>

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

namespace clampbook::review {

BuildPart build_part(const schedule::Build& build, const schedule::Operation& operation, std::string sha256) {
  BuildPart out{{build.title, build.source->name(), std::move(sha256)}, operation.name};
  for (const std::size_t i : build.in_order())
    out.build.operations.push_back({build.operations[i].name, build.operations[i].after});
  out.build.steps = plan::count_steps(operation.schedule, operation.only);
  return out;
}

namespace {

const std::vector<std::string>& after_of(const record::Build& build, const std::string& name) {
  static const std::vector<std::string> kNone;
  for (const record::Build::Operation& o : build.operations)
    if (o.name == name) return o.after;
  return kNone;
}

/// Which operations of one build are finished. Each is looked at once.
class Finished {
 public:
  Finished(const record::Book& book, const std::vector<Pass>& passes, const std::string& title)
      : book_(book), passes_(passes), title_(title) {}

  bool operation(const std::string& name) {
    // While it is looked at it counts as open: builds that were changed between two passes may form a ring.
    const auto [known, fresh] = known_.emplace(name, false);
    if (!fresh) return known->second;
    std::map<std::string, std::set<int>> done;  // steps, by the text of their schedule
    for (const Pass& pass : passes_) {
      if (!pass.build || pass.build->build.title != title_ || pass.build->operation != name || !counts(pass))
        continue;
      std::set<int>& steps = done[pass.sha256];
      for (const Step& step : pass.plan.steps) steps.insert(step.step);
      if (steps.size() >= pass.build->build.steps) return known_[name] = true;
    }
    return false;
  }

  std::vector<std::string> open_before(const Pass& pass) {
    std::vector<std::string> out;
    for (const std::string& name : after_of(pass.build->build, pass.build->operation))
      if (!operation(name)) out.push_back(name);
    return out;
  }

 private:
  bool counts(const Pass& pass) {
    if (pass.trial || pass.abandoned || pass.lost || !Progress(pass).complete()) return false;
    Pass alone = pass;  // without what it had to wait for, which is asked below, once for each operation
    alone.build.reset();
    if (!is_complete(alone, find_findings(book_, passes_, alone, Until::at_once))) return false;
    const bool accepted = std::any_of(pass.acceptances.begin(), pass.acceptances.end(),
                                      [&](const Acceptance& a) { return a.accepts == pass.seq; });
    return accepted || open_before(pass).empty();
  }

  const record::Book& book_;
  const std::vector<Pass>& passes_;
  const std::string& title_;
  std::map<std::string, bool> known_;
};

}  // namespace

void judge_operation(const record::Book& book, const std::vector<Pass>& passes, const Pass& pass,
                     std::vector<Finding>& out) {
  if (!pass.build) return;
  const std::vector<std::string> open = Finished(book, passes, pass.build->build.title).open_before(pass);
  if (open.empty()) return;
  std::string names;
  for (const std::string& name : open) names += fmt::format("{}'{}'", names.empty() ? "" : ", ", name);
  const bool one = open.size() == 1;
  Finding f;
  f.slug = "gate-open";
  f.pass = pass.number;
  f.seq = pass.seq;
  f.text =
      fmt::format("operation '{}' was begun, but {} {} {} not finished in this book", pass.build->operation,
                  one ? "the operation" : "the operations", names, one ? "is" : "are");
  f.remedy = fmt::format(
      "finish {} first, in a final pass and without an open fault; if it was done outside this book, accept "
      "this "
      "finding with the reason",
      one ? "it" : "them");
  out.push_back(std::move(f));
}

bool may_wait_for_itself(const std::vector<Pass>& passes, const Pass& pass) {
  const BuildPart& own = *pass.build;
  std::vector<std::string> names = after_of(own.build, own.operation);
  std::set<std::string> waited(names.begin(), names.end());
  while (!names.empty()) {
    const std::string name = names.back();
    names.pop_back();
    for (const Pass& other : passes) {
      if (!other.build || other.build->build.title != own.build.title || other.build->operation != name)
        continue;
      if (other.number >= pass.number) return true;
      for (const std::string& next : after_of(other.build->build, name))
        if (waited.insert(next).second) names.push_back(next);
    }
  }
  return false;
}

std::vector<BuildState> build_states(const record::Book& book, const std::vector<Pass>& passes) {
  std::vector<BuildState> out;
  for (auto pass = passes.rbegin(); pass != passes.rend(); ++pass) {
    if (!pass->build) continue;
    const std::string& title = pass->build->build.title;
    if (std::any_of(out.begin(), out.end(), [&](const BuildState& s) { return s.title == title; })) continue;
    BuildState state{title};
    Finished finished(book, passes, title);
    for (const record::Build::Operation& o : pass->build->build.operations)
      (finished.operation(o.name) ? state.finished : state.open).push_back(o.name);
    out.insert(out.begin(), std::move(state));
  }
  return out;
}

}  // namespace clampbook::review
