// The walk through a pass: shows what is due, reads one line, acts. It asks only where somebody can answer.
#pragma once

#include "cli/command.h"
#include "cli/filing.h"
#include "cli/guide_input.h"

#include <clampbook/report/guide_text.h>
#include <clampbook/text/diagnostic.h>

#include <deque>
#include <optional>
#include <set>
#include <string>
#include <vector>

namespace clampbook::cli {

class Guide {
 public:
  /// `session` holds the lock and gives it back while the guide waits.
  Guide(Session& session, const Arguments& arguments, Context& context, GuideInput& input);

  /// Until the pass is through, somebody leaves, or the input ends.
  [[nodiscard]] ExitStatus run();

 private:
  // What a line is waited for; `none` is the due step itself.
  enum class Question {
    none,
    stage,      // are setting, unit and direction right?
    keep,       // a reading that is outside, or a second one
    go_on,      // below the window: keep it, or go on with another stroke
    repeat,     // the same value within two seconds
    companion,  // the final torque of the angle that was just recorded
  };

  // A reading in the words of `log`.
  struct Reading {
    std::string value;
    std::optional<std::string> also{};
    std::optional<units::Measured> first{};  // the value, when it is a quantity
  };

  // The last reading of this sitting: strokes go on from it, a companion belongs to it.
  struct Last {
    std::int64_t seq = 0;
    int step = 0;
    std::string value;  // as it was recorded, strokes joined
    std::optional<std::string> also{};
    std::optional<units::Measured> first{};  // the last stroke
    record::Timestamp at;
    std::string words;  // as it came
  };

  // What others must not have changed when the answer comes.
  struct Ground {
    std::int64_t standing = 0;             // the line that stands at the step
    std::size_t fittings = 0, doubts = 0;  // of the bolt
    bool asked = false;                    // whether the line that a question is about counts
    bool abandoned = false;
    bool operator==(const Ground&) const = default;
  };

  [[nodiscard]] review::Pass& pass();
  [[nodiscard]] const plan::Step* current();
  void choose_next();
  /// What may be due: everything, all but what was put off, all but what was put off or is in doubt.
  enum class Due { all, not_put_off, sound };
  /// The lowest of those unfilled steps, 0 for none.
  [[nodiscard]] int next_step(Due due);
  /// Bolts that are not brought to their next stage meanwhile: put off, or in doubt.
  [[nodiscard]] std::set<std::string> waiting_bolts(Due due);
  [[nodiscard]] Ground ground();
  /// Others took the ground from under the step on the screen: nothing that was meant for it is recorded.
  void leave_ground(const Happening& happening);
  void take(Happening happening);

  [[nodiscard]] report::TextStyle style() const;
  void say(std::string_view text);
  void paragraph(std::string_view text);
  /// One bell for accepted, three for stop.
  void ring(int times);
  static constexpr int kAccepted = 1, kStop = 3;
  void tell(const Recorded& recorded);
  void tell_wrench(Happening::Kind kind);
  void unread(std::string_view given, std::string_view reason, std::string_view why);
  [[nodiscard]] ExitStatus stopped(std::string_view reason, ExitStatus status);
  [[nodiscard]] ExitStatus finished();
  /// What was sent already and can't be filed any more is told.
  void leave_queued(std::string_view reason, std::string_view why);
  void complain(std::string_view given, const text::Diagnostic& diagnostic);
  void show_start();
  void show_stage(const plan::Step& step);
  void show_step();
  void show_open_matters(const plan::Step& step);
  void show_big(const plan::Step& step);
  void prompt();
  [[nodiscard]] std::optional<plan::StageTool> stage_tool(const plan::Step& step);
  [[nodiscard]] plan::Step as_set(const plan::Step& step);

  [[nodiscard]] const units::Unit* bare_unit(const plan::Step& step) const;
  [[nodiscard]] std::string with_unit(const plan::Step& step, const std::string& words) const;
  [[nodiscard]] Arguments entry_arguments(const plan::Step& step);
  [[nodiscard]] bool measures(const std::string& tool, const plan::Step& step);
  [[nodiscard]] std::optional<Recorded> file(const Arguments& entry, const std::string& words);
  void record(const plan::Step& step, const Reading& reading, std::optional<std::int64_t> corrects,
              const std::string& words);
  void record_gate(const plan::Step& step, std::string_view option, const std::string& value);
  void after_reading(const plan::Step& step, const Recorded& recorded);
  void below_the_window(const plan::Step& step);
  /// True when a reading below the window stands at the step: the next one is of the same bolt, pulled on.
  [[nodiscard]] bool take_up_stroke(int step);
  /// The line at the step was found to fall short, and nothing else.
  [[nodiscard]] bool only_low(int step);
  void ask_or_go_on(const Recorded& recorded, const std::vector<std::string_view>& left_out);

  void take_typed(const Happening& typed);
  [[nodiscard]] bool take_key(const std::string& line);
  void take_yes();
  void take_no();
  void take_value(const std::string& words);
  void take_wrench(const Happening& line);
  void take_quantities(const std::vector<units::Measured>& values, const std::string& words);
  void take_reading(Reading reading, const std::string& words, bool sure);
  void take_companion(const units::Measured& value, const std::string& words);
  /// The final torque did not come: on to the next step, for which `words` were meant. False: there is none.
  [[nodiscard]] bool leave_companion(const std::string& words);
  [[nodiscard]] bool awaits_companion();
  /// A final torque is asked for beside the angle.
  [[nodiscard]] static bool wants_companion(const plan::Step& step) {
    return step.final_torque && step.kind != plan::StageKind::yield;
  }
  [[nodiscard]] bool is_repeat(const Reading& reading, const std::string& words) const;
  [[nodiscard]] static std::string wanted_text(const plan::Step& step);
  [[nodiscard]] static bool blocks(Question question);

  /// `why`: the reason; of a note its words.
  void amend(record::Line line, std::string_view what, const std::string& why = {});
  void leave_waiting(std::string_view why);
  void take_back(std::int64_t line, const std::string& why);
  [[nodiscard]] const review::Entry* origin_of(const review::Entry* entry);
  [[nodiscard]] bool restore_before(const review::Entry& entry);
  [[nodiscard]] std::optional<units::Measured> as_shown(const std::optional<units::Measured>& value) const;
  void undo(const std::string& why);
  void doubt(const std::string& word);
  [[nodiscard]] std::optional<int> place_in_doubt(const std::string& bolt);
  void go_to(const std::string& bolt);
  [[nodiscard]] bool take_up_companion(const plan::Step& step);
  void skip();

  Session& session_;
  const Arguments& arguments_;
  Context& context_;
  GuideInput& input_;
  std::int64_t pass_number_ = 0;
  bool asks_ = false;  // somebody sits there who can answer
  bool wrench_ = false;
  bool rings_ = false;
  const schedule::TorqueWrench* tool_ = nullptr;
  std::optional<schedule::TorqueWrench> kept_tool_{};
  const units::Unit* unit_ = nullptr;

  int step_ = 0;        // the current one; 0: none is left
  int shown_step_ = 0;  // the one on the screen
  Ground ground_{};
  int told_stage_ = 0;  // the last one before which was said what is open
  Question question_ = Question::none;
  std::int64_t judged_ = 0;  // the line that a question is about
  bool taken_up_ = false;    // it is an older one: "no" leaves it as it is
  std::optional<Reading> held_{};
  std::string held_words_{};
  Question held_question_ = Question::none;
  std::optional<Last> last_{};
  std::set<int> skipped_{};          // steps
  std::set<int> confirmed_{};        // stages
  std::deque<Happening> waiting_{};  // readings that came while somebody was asked
  bool noted_ = false;               // the last word was a note
  bool left_ = false;
};

}  // namespace clampbook::cli
