#include <clampbook/review/piece.h>

#include <algorithm>

namespace clampbook::review {

using plan::StageKind;

namespace {

bool loads_the_bolt(StageKind kind) {
  return kind == StageKind::torque || schedule::row(kind).turns_on;
}

// The stage from which on a bolt counts as tightened: its last torque stage, else its first loading one; 0
// when it has neither.
int counting_stage(const Pass& pass, const std::string& bolt) {
  int first_load = 0, last_torque = 0;
  for (const std::size_t position : pass.index.turning(bolt)) {
    const Step& step = pass.plan.steps[position];
    if (first_load == 0 && loads_the_bolt(step.kind)) first_load = step.stage;
    if (step.kind == StageKind::torque) last_torque = step.stage;
  }
  return last_torque != 0 ? last_torque : first_load;
}

// From one fitting to the next a piece counts once as tightened and once as past yield.
struct Run {
  bool tightened = false, past_yield = false;
};

void tighten(Piece& piece, const Step& step, int counts_from, Run& run) {
  if (!run.tightened && (step.stage >= counts_from || step.may_yield)) {
    run.tightened = true;
    ++piece.tightened;
  }
  if (!run.past_yield && step.may_yield) {
    run.past_yield = true;
    ++piece.past_yield;
  }
}

void measure(Piece& piece, const Entry& entry) {
  if (!entry.value || entry.value->dimension() != units::Dimension::length) return;
  piece.free_last = entry.value->machine_value();
  if (!piece.free_first) piece.free_first = piece.free_last;
  ++piece.free_measured;
}

Piece put_there(const Pass& pass, const std::string& bolt, std::int64_t seq, std::int64_t uses) {
  Piece piece{bolt, {}, pass.title, seq, uses};
  if (const auto position = pass.index.bolt(bolt)) piece.fastener = pass.plan.bolts[*position].fastener;
  const auto& fasteners = pass.plan.fasteners;
  const auto rule = std::find_if(fasteners.rbegin(), fasteners.rend(),
                                 [&](const plan::PlanFastener& f) { return f.name == piece.fastener; });
  if (rule != fasteners.rend()) piece.reuse = rule->reuse;
  return piece;
}

bool measures_free_length(const Step& step) {
  return step.kind == StageKind::measure && step.stage_name == "free" && step.label;
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

Pieces::Pieces(const std::vector<Pass>& passes, std::int64_t last) {
  for (const Pass& pass : passes)
    if (!pass.lost && (last == 0 || pass.number <= last)) follow(pass);
}

const Piece* Pieces::at(const std::string& title, const std::string& bolt) const {
  const auto places = current_.find(title);
  if (places == current_.end()) return nullptr;
  const auto found = places->second.find(bolt);
  return found == places->second.end() ? nullptr : &pieces_[found->second];
}

void Pieces::put(Piece piece) {
  current_[piece.title][piece.bolt] = pieces_.size();
  pieces_.push_back(std::move(piece));
}

void Pieces::follow(const Pass& pass) {
  Places& places = current_[pass.title];
  std::unordered_map<std::string, int> counts_from;
  for (const Step& step : pass.plan.steps) {
    if (!step.bolt || !counts_from.try_emplace(*step.bolt).second) continue;
    counts_from[*step.bolt] = counting_stage(pass, *step.bolt);
    if (!places.contains(*step.bolt)) put(put_there(pass, *step.bolt, pass.seq, 0));
  }
  std::unordered_map<std::string, Run> runs;
  auto fitting = pass.fittings.begin();
  const auto fit_until = [&](std::int64_t seq) {
    for (; fitting != pass.fittings.end() && fitting->seq < seq; ++fitting) {
      runs[fitting->bolt] = {};
      if (fitting->fitted) put(put_there(pass, fitting->bolt, fitting->seq, fitting->uses));
    }
  };
  for (const Entry& entry : pass.entries) {
    fit_until(entry.seq);
    const Step* step = step_numbered(pass, entry.step);
    if (entry.voided_by || step == nullptr) continue;
    if (step->bolt && loads_the_bolt(step->kind)) {
      tighten(pieces_[places.at(*step->bolt)], *step, counts_from[*step->bolt], runs[*step->bolt]);
    } else if (measures_free_length(*step)) {
      if (const auto place = places.find(*step->label); place != places.end())
        measure(pieces_[place->second], entry);
    }
  }
  fit_until(INT64_MAX);
}

namespace {

// Positions of the entries at the steps of a bolt, in the order of the book.
std::vector<std::size_t> entries_of(const Pass& pass, const std::string& bolt) {
  std::vector<std::size_t> out;
  for (const auto* positions : {&pass.index.turning(bolt), &pass.index.gates(bolt)})
    for (const std::size_t position : *positions)
      if (const auto at = pass.entries_at.find(pass.plan.steps[position].step); at != pass.entries_at.end())
        out.insert(out.end(), at->second.begin(), at->second.end());
  std::sort(out.begin(), out.end());
  return out;
}

}  // namespace

void follow_piece(const Pass& pass, const std::string& bolt, std::optional<Piece>& piece) {
  const auto fittings = pass.fittings_of.find(bolt);
  const std::vector<std::size_t> none;
  const std::vector<std::size_t>& fitted = fittings != pass.fittings_of.end() ? fittings->second : none;
  if (!piece && !pass.index.turning(bolt).empty()) piece = put_there(pass, bolt, pass.seq, 0);
  const int counts_from = counting_stage(pass, bolt);
  Run run;
  auto next = fitted.begin();
  const auto fit_until = [&](std::int64_t seq) {
    for (; next != fitted.end() && pass.fittings[*next].seq < seq; ++next) {
      const Fitting& fitting = pass.fittings[*next];
      run = {};
      if (fitting.fitted) piece = put_there(pass, bolt, fitting.seq, fitting.uses);
    }
  };
  for (const std::size_t i : entries_of(pass, bolt)) {
    const Entry& entry = pass.entries[i];
    fit_until(entry.seq);
    const Step& step = *step_numbered(pass, entry.step);
    if (entry.voided_by || !piece) continue;
    if (step.bolt && loads_the_bolt(step.kind))
      tighten(*piece, step, counts_from, run);
    else if (measures_free_length(step))
      measure(*piece, entry);
  }
  fit_until(INT64_MAX);
}

}  // namespace clampbook::review
