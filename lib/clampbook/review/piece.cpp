#include <clampbook/review/piece.h>

#include <algorithm>
#include <map>

namespace clampbook::review {

using plan::StageKind;

namespace {

bool loads_the_bolt(StageKind kind) {
  return kind == StageKind::torque || kind == StageKind::angle || kind == StageKind::yield ||
         kind == StageKind::stretch;
}

// The stage from which on a bolt counts as tightened: its last torque stage, else its first loading one; 0:
// never.
std::map<std::string, int> counting_stages(const Pass& pass) {
  std::map<std::string, int> last_torque, first_load;
  for (const Step& step : pass.plan.steps) {
    if (!step.bolt || !loads_the_bolt(step.kind)) continue;
    if (step.kind == StageKind::torque) last_torque[*step.bolt] = step.stage;
    first_load.emplace(*step.bolt, step.stage);
  }
  for (const auto& [bolt, stage] : last_torque) first_load[bolt] = stage;
  return first_load;
}

class Ledger {
 public:
  std::vector<Piece> take() { return std::move(pieces_); }

  void follow(const Pass& pass) {
    for (const Step& step : pass.plan.steps)
      if (step.bolt && !current_.contains(key(pass, *step.bolt))) put(pass, *step.bolt, pass.seq, 0);
    const std::map<std::string, int> from = counting_stages(pass);
    std::map<std::string, Run> runs;
    auto fitting = pass.fittings.begin();
    const auto fit_until = [&](std::int64_t seq) {
      for (; fitting != pass.fittings.end() && fitting->seq < seq; ++fitting) {
        runs[fitting->bolt] = {};
        if (fitting->fitted) put(pass, fitting->bolt, fitting->seq, fitting->uses);
      }
    };
    for (const Entry& entry : pass.entries) {
      fit_until(entry.seq);
      if (entry.voided_by) continue;
      const auto step = std::lower_bound(pass.plan.steps.begin(), pass.plan.steps.end(), entry.step,
                                         [](const Step& s, int n) { return s.step < n; });
      if (step == pass.plan.steps.end() || step->step != entry.step) continue;
      if (step->bolt) {
        tighten(pass, *step, from, runs[*step->bolt]);
      } else if (step->kind == StageKind::measure && step->stage_name == "free" && step->label) {
        measure(pass, *step, entry);
      }
    }
    fit_until(INT64_MAX);
  }

 private:
  // From one fitting to the next a piece counts once as tightened and once as past yield.
  struct Run {
    bool tightened = false, past_yield = false;
  };
  using Key = std::pair<std::string, std::string>;

  static Key key(const Pass& pass, const std::string& bolt) { return {pass.title, bolt}; }

  void put(const Pass& pass, const std::string& bolt, std::int64_t seq, std::int64_t uses) {
    Piece piece{bolt, {}, pass.title, seq, uses};
    for (const plan::PlanBolt& b : pass.plan.bolts)
      if (b.id == bolt) piece.fastener = b.fastener;
    for (const plan::PlanFastener& f : pass.plan.fasteners)
      if (f.name == piece.fastener) piece.reuse = f.reuse;
    current_[key(pass, bolt)] = pieces_.size();
    pieces_.push_back(std::move(piece));
  }

  void tighten(const Pass& pass, const Step& step, const std::map<std::string, int>& from, Run& run) {
    Piece& piece = pieces_[current_.at(key(pass, *step.bolt))];
    const auto counts = from.find(*step.bolt);
    if (counts == from.end() || !loads_the_bolt(step.kind)) return;
    const bool past_yield = step.may_yield;
    if (!run.tightened && (step.stage >= counts->second || past_yield)) {
      run.tightened = true;
      ++piece.tightened;
    }
    if (!run.past_yield && past_yield) {
      run.past_yield = true;
      ++piece.past_yield;
    }
  }

  void measure(const Pass& pass, const Step& step, const Entry& entry) {
    const auto found = current_.find(key(pass, *step.label));
    if (found == current_.end() || !entry.value || entry.value->dimension() != units::Dimension::length)
      return;
    Piece& piece = pieces_[found->second];
    piece.free_last = entry.value->machine_value();
    if (!piece.free_first) piece.free_first = piece.free_last;
  }

  std::vector<Piece> pieces_;
  std::map<Key, std::size_t> current_;
};

std::string why_not(const Pass& pass, const Progress& progress, const std::string& bolt) {
  bool any = false, angle = false;
  for (const Step& step : pass.plan.steps) {
    const Entry* entry = step.bolt == bolt ? progress.standing(step.step) : nullptr;
    if (entry == nullptr || !entry->value) continue;
    any = true;
    if (entry->value->dimension() != units::Dimension::torque || entry->also) angle = true;
  }
  if (!any) return "nothing was read on this bolt";
  if (!angle) return "only torques were read: a torque alone identifies neither friction nor clamp load";
  return "this version makes no estimate from torque and angle";
}

}  // namespace

std::optional<std::int64_t> Piece::limit() const {
  if (reuse.kind == schedule::ReuseKind::never) return 1;
  if (reuse.kind == schedule::ReuseKind::times) return reuse.times;
  return std::nullopt;
}

bool Piece::overused() const {
  if (const auto most = limit()) return tightened > *most;
  if (reuse.kind != schedule::ReuseKind::growth_below || !free_first || !reuse.growth) return false;
  // Below the limit, not at it; what is left by the subtraction must not hide that.
  return *free_last - *free_first >= reuse.growth->machine_value() * (1 - 1e-9);
}

std::vector<Piece> pieces(const std::vector<Pass>& passes, std::int64_t last) {
  Ledger ledger;
  for (const Pass& pass : passes)
    if (last == 0 || pass.number <= last) ledger.follow(pass);
  return ledger.take();
}

const Piece* piece_at(const std::vector<Piece>& pieces, const std::string& title, const std::string& bolt) {
  const auto found = std::find_if(pieces.rbegin(), pieces.rend(),
                                  [&](const Piece& p) { return p.title == title && p.bolt == bolt; });
  return found == pieces.rend() ? nullptr : &*found;
}

std::vector<BoltState> bolt_states(const std::vector<Pass>& passes, const Pass& pass) {
  const std::vector<Piece> all = pieces(passes, pass.number);
  const Progress progress(pass);
  std::map<std::string, std::vector<std::int64_t>> readings;
  for (const Entry& entry : pass.entries) {
    const Step* step = progress.find(entry.step);
    if (step != nullptr && step->bolt && !entry.voided_by && !entry.past_piece)
      readings[*step->bolt].push_back(entry.seq);
  }
  std::vector<BoltState> out;
  for (const plan::PlanBolt& bolt : pass.plan.bolts) {
    const bool here = std::any_of(pass.plan.steps.begin(), pass.plan.steps.end(),
                                  [&](const Step& s) { return s.bolt == bolt.id; });
    if (!here) continue;
    const Piece* piece = piece_at(all, pass.title, bolt.id);
    out.push_back({bolt.id, bolt.fastener, piece != nullptr ? piece->tightened : 0, readings[bolt.id],
                   why_not(pass, progress, bolt.id)});
  }
  return out;
}

}  // namespace clampbook::review
