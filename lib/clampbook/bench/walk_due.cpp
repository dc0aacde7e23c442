// Which step is due, and whether it still is when the answer comes.
#include <clampbook/bench/choose.h>
#include <clampbook/bench/walk.h>
#include <clampbook/review/tool_check.h>
#include <clampbook/text/error.h>

#include <algorithm>

namespace clampbook::bench {

using plan::Step;
using review::Progress;
using units::Dimension;
using units::Measured;

std::set<std::string> Walk::waiting_bolts(DueOf due, const View& view) const {
  std::set<std::string> out;
  if (due == DueOf::sound)
    for (const auto& [bolt, doubts] : view.pass.unresolved) out.insert(bolt);
  const Progress progress(view.pass);
  for (const int number : skipped_) {
    const Step* step = due != DueOf::all && !progress.filled(number) ? progress.find(number) : nullptr;
    if (step != nullptr && step->bolt) out.insert(*step->bolt);
  }
  return out;
}

int Walk::next_step(DueOf due, const View& view) const {
  const Progress progress(view.pass);
  const std::set<std::string> waiting = waiting_bolts(due, view);
  for (const Step& step : view.pass.plan.steps) {
    const bool put_off = due != DueOf::all && skipped_.contains(step.step);
    const bool waits = step.bolt && waiting.contains(*step.bolt);
    if (!progress.filled(step.step) && !put_off && !waits) return step.step;
  }
  return 0;
}

void Walk::choose_next(const View& view) {
  asked_ = Asked::nothing;
  taken_up_ = false;
  shown_step_ = 0;
  step_ = next_step(DueOf::sound, view);
  if (step_ == 0) step_ = next_step(DueOf::not_put_off, view);
  if (step_ != 0) return;
  skipped_.clear();  // nothing else is due
  step_ = next_step(DueOf::all, view);
}

Walk::Ground Walk::ground(const View& view) const {
  const review::Pass& pass = view.pass;
  Ground out{.abandoned = pass.abandoned};
  const review::Entry* about = asked_ != Asked::nothing ? review::entry_on(pass, judged_) : nullptr;
  out.asked = about != nullptr && !about->voided_by;
  const Step* due = step(view);
  if (due == nullptr) return out;
  const review::Entry* standing = Progress(pass).standing(step_);
  out.standing = standing != nullptr ? standing->seq : 0;
  if (!due->bolt) return out;
  out.fittings =
      static_cast<std::size_t>(std::count_if(pass.fittings.begin(), pass.fittings.end(),
                                             [&](const review::Fitting& f) { return f.bolt == *due->bolt; }));
  const auto doubts = pass.unresolved.find(*due->bolt);
  if (doubts != pass.unresolved.end()) out.doubts = doubts->second.size();
  return out;
}

// Others took the ground from under the step on the screen: nothing that was meant for it is recorded.
void Walk::leave_ground(const Input& input, const View& view) {
  const std::string_view why =
      view.pass.abandoned ? "was sent when the pass had been abandoned elsewhere"
                          : "was sent when the book had been written to elsewhere: look what is due now";
  if (held_) unread(held_words_, "changed-elsewhere", why);
  held_.reset();
  if (const auto* line = std::get_if<LineIn>(&input.what))
    unread(line->text, "changed-elsewhere", why);
  else
    show(ToolNotice{std::get<Notice>(input.what) == Notice::tool_gone});
  leave_queued("changed-elsewhere", why);
  last_.reset();
  choose_next(view);
}

std::optional<plan::StageTool> Walk::stage_tool(const Step& step, const View& view) const {
  if (settings_.wrench) {
    const bool torque = step.reading_dimension() == Dimension::torque;
    return torque ? std::optional(plan::stage_tool(*settings_.wrench)) : std::nullopt;
  }
  for (const plan::PlanStage& stage : view.pass.plan.stages)
    if (stage.stage == step.stage) return stage.tool;
  return std::nullopt;
}

// With the tool in hand the setting is the tool's own.
Step Walk::as_set(const Step& step) const {
  Step out = step;
  if (!settings_.wrench || !step.target || step.target->dimension() != Dimension::torque) return out;
  const schedule::TorqueWrench& wrench = *settings_.wrench;
  joint::Torque torque = units::to<joint::Torque>(*step.target);
  if (step.prevailing) torque += units::to<joint::Torque>(*step.prevailing);
  const units::Unit& unit = wrench.unit != nullptr ? *wrench.unit : step.target->unit();
  out.setting = Measured(units::value_in(plan::setting_of(wrench, torque), units::newton_metre),
                         units::newton_metre_unit())
                    .converted_to(unit);
  return out;
}

void Walk::show_step(const View& view) {
  const Step& due = *step(view);
  shown_step_ = step_;
  if (settings_.stages_confirmed) confirmed_.insert(due.stage);
  // At the start and before each stage: what was kept or put off must not be forgotten over what is due.
  if (told_stage_ != due.stage) show(OpenMatters{due});
  told_stage_ = due.stage;
  const std::optional<plan::StageTool> tool = stage_tool(due, view);
  if (due.bolt && !confirmed_.contains(due.stage)) {
    StageHead head{as_set(due), tool};
    const std::string name = settings_.wrench ? settings_.wrench->name : tool ? tool->name : std::string();
    if (!name.empty()) head.warnings = review::tool_warnings(view.pass, due, name, now_);
    if (settings_.wrench && settings_.wrench->unit != nullptr)
      head.display = settings_.wrench->unit->spelling;
    show(std::move(head));
    if (settings_.somebody_answers) {
      asked_ = Asked::stage;
      return;
    }
    confirmed_.insert(due.stage);
  }
  show(Due{due, as_set(due), tool});
}

void Walk::go_to(const std::string& bolt, const View& view) {
  try {
    require_bolt(view.pass, {"BOLT", bolt});
  } catch (const InputError& e) {
    show(Refused{"b " + bolt, e.diagnostics().front()});
    return;
  }
  const review::Pass& pass = view.pass;
  const Progress progress(pass);
  const Step* here = progress.find(step_);
  const Step* due = progress.due_for(bolt);
  const Step* done = nullptr;  // its last entry
  for (const std::size_t position : pass.index.turning(bolt))
    if (const Step& step = pass.plan.steps[position]; progress.filled(step.step)) done = &step;
  choose_next(view);
  // A bolt that has its reading is not brought to the next stage before the others, nor one that fell short.
  const bool in_turn =
      due != nullptr && (here == nullptr || due->step <= here->step || due->stage == here->stage ||
                         (done != nullptr && due->step < done->step));
  const bool short_of =
      done != nullptr && only_low(done->step, view) && (due == nullptr || due->step > done->step);
  if (due != nullptr && (done == nullptr || (in_turn && !short_of))) {
    step_ = due->step;
    skipped_.erase(step_);
    return;
  }
  if (done == nullptr) return;  // it has no step: refused above
  step_ = done->step;
  if (short_of) return;  // it is pulled on
  if (take_up_companion(*done, view)) return;
  remark({Remark::About::has_its_entry, bolt, progress.standing(step_)->seq, step_,
          due != nullptr ? due->stage : 0});
}

// The final torque of an angle that was read alone may still be read.
bool Walk::take_up_companion(const Step& step, const View& view) {
  const review::Entry* standing = Progress(view.pass).standing(step.step);
  if (!settings_.somebody_answers || !wants_companion(step) || standing == nullptr || standing->also ||
      !standing->value)
    return false;
  shown_step_ = step.step;
  last_ = Last{standing->seq,   step.step,    standing->given, std::nullopt,
               standing->value, standing->at, standing->given};
  judged_ = standing->seq;
  remark({Remark::About::has_its_angle, *step.bolt, standing->seq, step.step});
  asked_ = Asked::companion;
  taken_up_ = true;
  return true;
}

void Walk::skip(const View& view) {
  skipped_.insert(step_);
  choose_next(view);
}

}  // namespace clampbook::bench
