#include <clampbook/review/bolt_state.h>

#include <unordered_map>

namespace clampbook::review {

std::vector<BoltState> bolt_states(const std::vector<Pass>& passes, const Pass& pass) {
  return bolt_states(passes, pass, estimate_pass(pass, Pieces(passes, pass.number)));
}

std::vector<BoltState> bolt_states(const std::vector<Pass>& passes, const Pass& pass,
                                   const PassEstimates& estimates) {
  const Pieces pieces(passes, pass.number);
  const Progress progress(pass);
  std::unordered_map<std::string, std::vector<std::int64_t>> readings;
  for (const Entry& entry : pass.entries) {
    const Step* step = progress.find(entry.step);
    if (step != nullptr && step->bolt && !entry.voided_by && !entry.past_piece)
      readings[*step->bolt].push_back(entry.seq);
  }
  std::vector<BoltState> out;
  for (std::size_t i = 0; i < pass.plan.bolts.size(); ++i) {
    const plan::PlanBolt& bolt = pass.plan.bolts[i];
    if (pass.index.turning(bolt.id).empty()) continue;
    const Piece* piece = pieces.at(pass.title, bolt.id);
    out.push_back({bolt.id, bolt.fastener, piece != nullptr ? piece->tightened : 0, readings[bolt.id],
                   estimates.bolts[i]});
  }
  return out;
}

}  // namespace clampbook::review
