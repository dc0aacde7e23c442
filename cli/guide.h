// The guide at a terminal: draws what the walk has to show, waits for a line, hands it over.
#pragma once

#include "cli/command.h"
#include "cli/guide_input.h"

#include <clampbook/bench/open_book.h>
#include <clampbook/bench/walk.h>

#include <string>
#include <string_view>

namespace clampbook::cli {

class Guide {
 public:
  /// `book` is held; it is released while the guide waits.
  Guide(bench::OpenBook& book, bench::Walk& walk, Context& context, GuideInput& input, bool big);

  /// Until the pass is through, somebody leaves, or the input ends.
  [[nodiscard]] ExitStatus run();

 private:
  // Each item as it is drawn, in text or as JSON.
  void draw(const bench::Start&);
  void draw(const bench::OpenMatters& item);
  void draw(const bench::StageHead& item);
  void draw(const bench::Due& item);
  void draw(const bench::Recorded& item);
  void draw(const bench::Found& item);
  void draw(const bench::Bell& item);
  void draw(const bench::ToGo& item);
  void draw(const bench::Unread& item);
  void draw(const bench::Refused& item);
  void draw(const bench::Remark& item);
  void draw(const bench::KeyList&);
  void draw(const bench::ToolNotice& item);
  void draw(const bench::DropQueued& item);
  void draw(const bench::Finished&);
  void draw(const bench::Stopped& item);
  void draw_big(const plan::Step& step);

  [[nodiscard]] ExitStatus status_of(bench::Signal signal);
  [[nodiscard]] bench::Outcome next();
  void prompt();
  [[nodiscard]] bench::View view() { return book_.view(walk_.pass()); }
  [[nodiscard]] report::TextStyle style() const;
  void say(std::string_view text);
  void paragraph(std::string_view text);
  /// One bell for accepted, three for stop.
  void ring(int times);

  bench::OpenBook& book_;
  bench::Walk& walk_;
  Context& context_;
  GuideInput& input_;
  bool big_;
  bool rings_;
  bool falls_short_ = false;  // once every step has its entry
};

}  // namespace clampbook::cli
