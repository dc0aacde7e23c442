// The walk through a pass: what happens between two inputs, as a value. An input and a look at the pass go
// in; what is to be shown, and at most one request, come out. Whoever shows it owns the loop, the lock and
// the input: a terminal, a page, a test. Several walks of one pass see each other only through the book.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/bench/request.h>
#include <clampbook/plan/tools.h>
#include <clampbook/schedule/tool_list.h>
#include <clampbook/text/diagnostic.h>

#include <deque>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace clampbook::bench {

class OpenBook;

struct WalkSettings {
  std::optional<std::string> by{}, tool{};
  std::optional<schedule::TorqueWrench> wrench{};  ///< `tool`, when it is one
  const units::Unit* unit = nullptr;  ///< of a bare number at a torque step, when the tool has none
  bool somebody_answers = false;      ///< else nothing is asked
  bool stages_confirmed = false;      ///< what has to be right before a stage is neither shown nor asked
  bool wrench_sends = false;          ///< readings come from a wrench, whatever way
  bool typed_by_wrench = false;       ///< typed lines are the wrench's
};

// --- what goes in

struct LineIn {
  enum class From { typed, wrench };
  From from = From::typed;
  std::string text{};
  bool too_long = false;  ///< only its front is there
  bool cut_off = false;   ///< the line did not end: the wrench went away
};
enum class Notice { tool_gone, tool_back, ended, interrupted };
using Happened = std::variant<LineIn, Notice>;
struct Input {
  record::Timestamp now;
  Happened what;
};

/// Whether a line is a key alone, which says nothing where nobody is asked any more.
[[nodiscard]] bool is_bare_key(const std::string& line);
/// Whether it ends the walk.
[[nodiscard]] bool is_quit(const std::string& line);

// --- what comes out, in the order in which it is to be shown

/// What is told once, before anything else.
struct Start {};
/// Before the step: earlier steps that are open, faults that were kept.
struct OpenMatters {
  plan::Step step;
};
/// What has to be right before a stage that turns bolts.
struct StageHead {
  plan::Step step;  ///< with the setting of the tool in hand
  std::optional<plan::StageTool> tool{};
  std::string display{};                ///< the unit that the tool shows; empty: that of the target
  std::vector<std::string> warnings{};  ///< about the tool
};
struct Due {
  plan::Step step;    ///< as planned
  plan::Step as_set;  ///< with the setting of the tool in hand
  std::optional<plan::StageTool> tool{};
};
struct Recorded {
  Answer answer;
  std::optional<std::string> out_of_doubt{};  ///< the bolt, when a doubt about it was taken back
};
/// Findings to read.
struct Found {
  std::vector<review::Finding> findings;
};
struct Bell {
  int times = 1;
};
inline constexpr int kAccepted = 1, kStop = 3;
/// A reading below the window, of a bolt that is pulled on.
struct ToGo {
  units::Measured low, high, missing;
};
/// A line that was not recorded. `reason` is a word for scripts, `why` the end of a sentence that begins with
/// the line.
struct Unread {
  std::string given, reason, why;
};
struct Refused {
  std::string given;
  text::Diagnostic diagnostic;
};
/// A sentence of the walk itself.
struct Remark {
  enum class About {
    waits_for_answer,  ///< words: the line
    type_the_count,
    type_the_measurement,
    type_or_click,
    type_the_reading,
    set_it_right_first,
    stays_as_it_is,  ///< line
    not_recorded,
    nothing_was_asked,
    name_the_bolt,  ///< to go there
    name_the_bolt_in_doubt,
    no_step_in_pass,  ///< words: the bolt
    has_its_entry,    ///< words: the bolt; step, line; other: the bolt's next stage, 0 for none
    has_its_angle,    ///< words: the bolt; step, line
    note_stays,
    nothing_to_undo,
    takes_back,    ///< line, step
    stands_again,  ///< line
  };
  About about;
  std::string words{};
  std::int64_t line = 0;
  int step = 0, other = 0;
};
struct KeyList {};
struct ToolNotice {
  bool gone = true;
};
/// What was sent already and waits at the face can't be filed any more: each such line is Unread, but for
/// bare keys.
struct DropQueued {
  std::string reason, why;
};
/// Every step has its entry.
struct Finished {};
struct Stopped {
  std::string reason;
  int step = 0;  ///< at which the pass stays open; 0: none
  bool abandoned = false;
};
using Item = std::variant<Start, OpenMatters, StageHead, Due, Recorded, Found, Bell, ToGo, Unread, Refused,
                          Remark, KeyList, ToolNotice, DropQueued, Finished, Stopped>;

enum class Signal { go_on, finished, left, abandoned, ended, interrupted };

struct Outcome {
  std::vector<Item> items{};
  std::optional<Request> request{};
  Signal signal = Signal::go_on;
  bool more = false;  ///< lines that waited for an answer can be taken now: go_on()
};

/// What the next line is the answer to; `nothing`: the due step itself.
enum class Asked {
  nothing,
  stage,      ///< are setting, unit and direction right?
  keep,       ///< a reading that is outside, or a second one
  go_on,      ///< below the window: keep it, or go on with another stroke
  repeat,     ///< the same value within two seconds
  companion,  ///< the final torque of the angle that was just recorded
};

class Walk {
 public:
  Walk(std::int64_t pass, WalkSettings settings);

  /// What is told at the start, and the first due step.
  [[nodiscard]] Outcome start(record::Timestamp now, const View& view);
  /// Takes what happened. When the outcome holds a request, answered() or refused() comes next.
  [[nodiscard]] Outcome take(const Input& input, const View& view);
  /// Takes the first of the lines that waited, when the last outcome said that there is more.
  [[nodiscard]] Outcome go_on(record::Timestamp now, const View& view);
  [[nodiscard]] Outcome answered(const Answer& answer, const View& view);
  [[nodiscard]] Outcome refused(const text::Diagnostic& diagnostic, const View& view);

  [[nodiscard]] Asked asked() const { return asked_; }
  /// The due step; nullptr when none is left.
  [[nodiscard]] const plan::Step* step(const View& view) const;
  [[nodiscard]] std::int64_t pass() const { return pass_; }
  [[nodiscard]] const WalkSettings& settings() const { return settings_; }

 private:
  /// A final torque is asked for beside the angle.
  [[nodiscard]] static bool wants_companion(const plan::Step& step) {
    return step.final_torque && step.kind != plan::StageKind::yield;
  }

  // A reading in the words of an entry.
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
  // What was asked of the book, for its answer.
  struct Filed {
    enum class What { reading, gate, restored, voided, doubt, doubt_voided, note };
    What what = What::reading;
    int step = 0;
    Reading reading{};
    std::string words{};  // as it came; the bolt that is no longer in doubt
  };
  /// What may be due: everything, all but what was put off, all but what was put off or is in doubt.
  enum class DueOf { all, not_put_off, sound };

  // walk.cpp: the loop
  Outcome settle(const View& view);
  [[nodiscard]] Outcome stop(Signal signal, std::string reason, const View& view);
  void show(Item item) { out_.items.push_back(std::move(item)); }
  void ring(int times) { show(Bell{times}); }
  void unread(std::string_view given, std::string_view reason, std::string_view why);
  void remark(Remark remark) { show(std::move(remark)); }
  void leave_queued(std::string_view reason, std::string_view why);
  [[nodiscard]] Outcome finish(const View& view);
  [[nodiscard]] static bool blocks(Asked asked) {
    return asked == Asked::stage || asked == Asked::keep || asked == Asked::repeat;
  }

  // walk_lines.cpp: what a line means
  void take_line(LineIn line, const View& view);
  void take_typed(const LineIn& typed, const View& view);
  [[nodiscard]] bool take_key(const std::string& line, const View& view);
  void take_yes(const View& view);
  void take_no(const View& view);
  void take_value(const std::string& words, const View& view);
  void take_wrench(const LineIn& line, const View& view);
  void take_quantities(const std::vector<units::Measured>& values, const std::string& words,
                       const View& view);
  void tick(const plan::Step& step, const View& view);
  void count(const plan::Step& step, const std::string& words, const View& view);
  void measure(const plan::Step& step, const std::string& words, const View& view);
  [[nodiscard]] bool leave_companion(const std::string& words, const View& view);
  [[nodiscard]] bool awaits_companion(const View& view) const;

  // walk_due.cpp: which step is due, and whether it still is
  void choose_next(const View& view);
  [[nodiscard]] int next_step(DueOf due, const View& view) const;
  [[nodiscard]] std::set<std::string> waiting_bolts(DueOf due, const View& view) const;
  [[nodiscard]] Ground ground(const View& view) const;
  void leave_ground(const Input& input, const View& view);
  void show_step(const View& view);
  void go_to(const std::string& bolt, const View& view);
  [[nodiscard]] bool take_up_companion(const plan::Step& step, const View& view);
  void skip(const View& view);
  [[nodiscard]] std::optional<plan::StageTool> stage_tool(const plan::Step& step, const View& view) const;
  [[nodiscard]] plan::Step as_set(const plan::Step& step) const;

  // walk_entries.cpp: what is recorded, and asked about afterwards
  [[nodiscard]] const units::Unit* bare_unit(const plan::Step& step) const;
  [[nodiscard]] std::string with_unit(const plan::Step& step, const std::string& words) const;
  [[nodiscard]] bool measures(const std::string& tool, const plan::Step& step, const View& view) const;
  [[nodiscard]] EntryRequest entry_at(const plan::Step& step, const View& view) const;
  void take_reading(Reading reading, const std::string& words, bool sure, const View& view);
  void take_companion(const units::Measured& value, const std::string& words, const View& view);
  void record(const plan::Step& step, Reading reading, std::optional<std::int64_t> corrects,
              const std::string& words, const View& view);
  void record_gate(const plan::Step& step, EntryRequest entry, const std::string& words);
  void after_reading(const plan::Step& step, const Answer& answer, const View& view);
  void below_the_window(const plan::Step& step, const View& view);
  [[nodiscard]] bool take_up_stroke(int step, const View& view);
  [[nodiscard]] bool only_low(int step, const View& view) const;
  void ask_or_go_on(const Answer& answer, const std::vector<std::string_view>& left_out, const View& view);
  [[nodiscard]] bool is_repeat(const Reading& reading, const std::string& words) const;
  [[nodiscard]] std::optional<units::Measured> as_shown(const std::optional<units::Measured>& value) const;

  // walk_amends.cpp: what is said without a tool
  /// `why`: the reason; of a note its words.
  void amend(Filed filed, record::Line line, const std::string& why = {});
  void leave_waiting(std::string_view why);
  void take_back(std::int64_t line, const std::string& why, const View& view);
  void undo(const std::string& why, const View& view);
  void doubt(const std::string& word, const View& view);
  void after_amendment(const Filed& filed, const Answer& answer, const View& view);

  std::int64_t pass_;
  WalkSettings settings_;
  record::Timestamp now_{};
  Outcome out_{};
  std::optional<Filed> filed_{};

  int step_ = 0;        // the current one; 0: none is left
  int shown_step_ = 0;  // the one that was shown
  Ground ground_{};
  int told_stage_ = 0;  // the last one before which was said what is open
  Asked asked_ = Asked::nothing;
  std::int64_t judged_ = 0;  // the line that a question is about
  bool taken_up_ = false;    // it is an older one: "no" leaves it as it is
  std::optional<Reading> held_{};
  std::string held_words_{};
  Asked held_asked_ = Asked::nothing;
  std::optional<Last> last_{};
  std::set<int> skipped_{};       // steps
  std::set<int> confirmed_{};     // stages
  std::deque<LineIn> waiting_{};  // readings that came while somebody was asked
  bool noted_ = false;            // the last word was a note
  bool left_ = false;
};

/// One input, from the lock, after which the clock is asked, to its answer: takes what others wrote, lets the
/// walk take the input, files what it asks for, and releases the book.
[[nodiscard]] Outcome turn(OpenBook& book, Walk& walk, Happened happened);
/// The same for a line that waited, and for the start, at which the book is held.
[[nodiscard]] Outcome go_on(OpenBook& book, Walk& walk);
[[nodiscard]] Outcome start(OpenBook& book, Walk& walk);

}  // namespace clampbook::bench
