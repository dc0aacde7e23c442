#include <clampbook/report/guide_text.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/report/picture.h>
#include <clampbook/report/step_text.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <set>
#include <unordered_set>

namespace clampbook::report {

using plan::Step;
using review::Finding;
using review::Pass;
using review::Progress;
using schedule::StageKind;
using text::printable;

namespace {

constexpr std::size_t kMostBolts = 120;  // of a picture
constexpr std::size_t kMostOpen = 8;     // matters that are named one by one

void add(std::string& out, std::string_view text, std::size_t indent, const TextStyle& style) {
  out += wrapped(text, style.width, indent, indent + 2) + "\n";
}

// "3 min ago", for what was done last: a time alone means little at the bench.
std::string ago(record::Timestamp then, record::Timestamp now) {
  const std::int64_t seconds = (now.milliseconds - then.milliseconds) / 1000;
  if (seconds < 0) return "by the clock, which stands before that now";
  if (seconds < 120) return fmt::format("{} s ago", seconds);
  if (seconds < 7200) return fmt::format("{} min ago", seconds / 60);
  if (seconds < 172'800) return fmt::format("{} h ago", seconds / 3600);
  return fmt::format("{} days ago", seconds / 86'400);
}

const review::Entry* last_counting(const Pass& pass) {
  const auto found = std::find_if(pass.entries.rbegin(), pass.entries.rend(),
                                  [](const review::Entry& e) { return !e.voided_by; });
  return found == pass.entries.rend() ? nullptr : &*found;
}

std::string value_text(const review::Entry& entry, const TextStyle& style) {
  if (entry.value) return both_systems(*entry.value, style);
  return entry.count ? units::format_number(*entry.count) : std::string("done");
}

void add_only(std::string& out, const Pass& pass, const TextStyle& style) {
  std::string names;
  std::size_t here = 0;
  for (const plan::PlanBolt& bolt : pass.plan.bolts) {
    if (pass.index.turning(bolt.id).empty()) continue;
    ++here;
    names += (names.empty() ? "" : ", ") + printable(bolt.id);
  }
  if (here < pass.plan.bolts.size() && here > 0)
    add(out, fmt::format("This pass is for bolts {}", names), 0, style);
}

void add_last(std::string& out, const Pass& pass, record::Timestamp now, const TextStyle& style) {
  const Progress progress(pass);
  const review::Entry* last = last_counting(pass);
  if (last == nullptr) {
    add(out, "Nothing is recorded yet.", 0, style);
    return;
  }
  const Step* step = progress.find(last->step);
  if (step == nullptr) return;
  std::string where = fmt::format("stage {} ({})", step->stage, schedule::name(step->kind));
  if (step->bolt) where += ", bolt " + printable(*step->bolt);
  if (step->label) where += ", " + printable(*step->label);
  add(out,
      fmt::format("Last recorded: line {}, {}: {}, {} ({})", last->seq, where, value_text(*last, style),
                  record::to_string(last->at), ago(last->at, now)),
      0, style);
  const Step* due = progress.due();
  if (due == nullptr || !due->bolt) return;
  std::string look = fmt::format("Before you turn anything, look at the marks on bolt {}, which is due",
                                 printable(*due->bolt));
  if (step->bolt && step->bolt != due->bolt)
    look += fmt::format(", and on bolt {}, the last one", printable(*step->bolt));
  look +=
      ": a bolt may have been turned without its reading having been recorded. If you can't tell, type d.";
  add(out, look, 0, style);
}

// The line that says that the bolt was taken out, while nothing was done with it since.
const review::Fitting* taken_out(const Pass& pass, const std::string& bolt) {
  const auto last = std::find_if(pass.fittings.rbegin(), pass.fittings.rend(),
                                 [&](const review::Fitting& f) { return f.bolt == bolt; });
  if (last == pass.fittings.rend() || last->fitted) return nullptr;
  const Progress progress(pass, true);
  const bool since = std::any_of(pass.entries.begin(), pass.entries.end(), [&](const review::Entry& e) {
    const Step* step = e.seq > last->seq && !e.voided_by ? progress.find(e.step) : nullptr;
    return step != nullptr && step->bolt == bolt;
  });
  return since ? nullptr : &*last;
}

struct Signs {
  std::string_view due, done, outside, missed;
};

Signs signs_of(const TextStyle& style) {
  return style.ascii ? Signs{">", "=", "!", "o"} : Signs{"▶", "■", "!", "○"};
}

}  // namespace

std::string guide_start(const Pass& pass, record::Timestamp now, const TextStyle& style) {
  std::string out;
  add(out, printable(pass.plan.title) + (pass.trial ? " (trial pass)" : ""), 0, style);
  for (const std::string* line : {&pass.plan.machine, &pass.plan.notice})
    if (!line->empty()) add(out, printable(*line), 0, style);
  out += "\n";
  out += standing_cautions(style.width);
  add(out, fmt::format("! {}", text::kBlindHoleCaution), 0, style);
  out += "\n";
  add_only(out, pass, style);
  add_last(out, pass, now, style);
  return out + "\n";
}

std::string guide_picture(const Pass& pass, const std::vector<Finding>& findings, const Step& due,
                          const TextStyle& style) {
  if (pass.plan.bolts.empty() || pass.plan.bolts.size() > kMostBolts) return {};
  const Signs sign = signs_of(style);
  BoltSigns signs;
  const Progress progress(pass);
  for (const plan::PlanBolt& bolt : pass.plan.bolts)
    for (const std::size_t position : pass.index.turning(bolt.id)) {
      const Step& step = pass.plan.steps[position];
      if (step.stage == due.stage && progress.filled(step.step)) signs[bolt.id] = sign.done;
    }
  for (const Finding& f : findings) {
    if (!f.bolt || f.accepted || f.severity == review::Severity::note) continue;
    std::string& mark = signs[*f.bolt];
    if (f.slug == "missed-step") {
      if (mark != sign.outside) mark = sign.missed;
    } else if (f.severity == review::Severity::fault) {
      mark = sign.outside;
    }
  }
  if (due.bolt) signs[*due.bolt] = sign.due;
  return bolt_picture(pass.plan, style, &signs) +
         fmt::format("{} due   {} done   {} look at it   {} missed\n", sign.due, sign.done, sign.outside,
                     sign.missed);
}

std::string guide_open_matters(const Pass& pass, const std::vector<Finding>& findings, const Step& due,
                               const TextStyle& style) {
  std::vector<std::string> lines;
  const Progress progress(pass);
  const auto in_doubt = [&](const Step& step) {
    return step.bolt && std::any_of(pass.doubts.begin(), pass.doubts.end(), [&](const review::Doubt& d) {
             return !d.resolved && d.bolt == *step.bolt;
           });
  };
  // The run of steps that `due` belongs to is under way.
  const auto& steps = pass.plan.steps;
  const auto at = std::find_if(steps.begin(), steps.end(), [&](const Step& s) { return s.step == due.step; });
  auto run = at;
  while (run != steps.begin() && std::prev(run)->stage == due.stage) --run;
  std::set<std::string> named;
  for (auto step = steps.begin(); step != run; ++step) {
    if (progress.filled(step->step) || in_doubt(*step)) continue;
    if (step->bolt && !named.insert(*step->bolt).second) continue;  // its later stages wait for the first
    lines.push_back(fmt::format("step {}, {}: {}", step->step, printable(step->text),
                                step->bolt ? fmt::format("b {} goes back to it", printable(*step->bolt))
                                           : std::string("it comes again when nothing else is due")));
  }
  std::vector<Finding> faults = findings;
  std::erase_if(faults, [](const Finding& f) {
    return f.severity != review::Severity::fault || f.accepted || f.slug == "missed-step" ||
           f.slug == "gate-open";
  });
  for (const FindingGroup& group : grouped(faults))
    lines.push_back(fmt::format("fault: {} [{}]", printable(group.text), group.first->slug));
  if (lines.empty()) return {};
  std::string out = "\nStill open:\n";
  for (std::size_t i = 0; i < std::min(lines.size(), kMostOpen); ++i) add(out, lines[i], 2, style);
  if (lines.size() > kMostOpen)
    add(out, fmt::format("and {} more: clampbook check lists them", lines.size() - kMostOpen), 2, style);
  return out;
}

std::string guide_stage(const Pass& pass, const Step& due, const std::optional<plan::StageTool>& tool,
                        std::string_view display, const std::vector<std::string>& warnings,
                        const TextStyle& style) {
  std::string out = "\n";
  const auto stage = std::find_if(pass.plan.stages.begin(), pass.plan.stages.end(),
                                  [&](const plan::PlanStage& s) { return s.stage == due.stage; });
  std::string heading = fmt::format("Stage {}: {}", due.stage,
                                    printable(stage != pass.plan.stages.end() ? stage->text : due.text));
  if (due.stage_name) heading += fmt::format(", \"{}\"", printable(*due.stage_name));
  add(out, heading, 0, style);
  std::vector<Step> all;
  for (const Step& step : pass.plan.steps)
    if (step.stage == due.stage) all.push_back(step);
  for (const std::string& line : figure_lines(due, tool, left_hand_alike(pass.plan, all), style))
    add(out, line, 2, style);
  if (due.pulls_to_yield()) add(out, fmt::format("! {}", text::kYieldCaution), 2, style);
  for (const std::string& warning : warnings) add(out, "! " + printable(warning), 2, style);
  const auto dimension = due.reading_dimension();
  if (due.setting && dimension == units::Dimension::torque)
    add(out, fmt::format("wrench set to {}", both_systems(*due.setting, style)), 2, style);
  if (dimension == units::Dimension::torque && !display.empty()) {
    add(out, fmt::format("display in {}", display), 2, style);
  } else if (due.target && dimension == due.target->dimension()) {
    add(out,
        fmt::format("display in {}", due.kind == StageKind::angle ? "degrees" : due.target->unit().spelling),
        2, style);
  }
  const std::string way = direction_text(pass.plan, all);
  if (!way.empty())
    add(out, "! " + way, 2, style);
  else
    add(out, due.kind == StageKind::loosen ? "loosen anticlockwise" : "tighten clockwise", 2, style);
  return out;
}

std::string guide_step(const Pass& pass, const Step& due, const std::optional<plan::StageTool>& tool,
                       record::Timestamp now, const TextStyle& style) {
  std::string out;
  // The figures of a bolt's step stand below in both unit systems.
  std::string what = due.bolt ? fmt::format("bolt {}, {}", printable(*due.bolt), schedule::name(due.kind))
                              : printable(due.text);
  if (due.bolt && !due.target) what = printable(due.text);
  if (due.label) what += fmt::format(" ({})", printable(*due.label));
  add(out, fmt::format("step {} of {}: {}", due.step, pass.plan.steps.back().step, what), 0, style);
  if (due.is_gate()) {
    if (due.kind == StageKind::wait && due.wait_s) {
      std::optional<record::Timestamp> last;
      for (const review::Entry& entry : pass.entries)
        if (!entry.voided_by && entry.kind == "reading") last = entry.at;
      const double gone = last ? static_cast<double>(now.milliseconds - last->milliseconds) / 1000 : 0;
      const double left = *due.wait_s - gone;
      add(out,
          left > 0
              ? fmt::format("{} s are left since the last reading", units::format_number(std::ceil(left)))
              : std::string("the time is over"),
          2, style);
    }
    if (due.low || due.high) {
      const std::string bound = due.low && due.high ? both_systems(*due.low, *due.high, style)
                                : due.low           ? "at least " + both_systems(*due.low, style)
                                                    : "at most " + both_systems(*due.high, style);
      add(out, bound, 2, style);
    }
    return out;
  }
  for (const std::string& line : figure_lines(due, tool, pass.plan.left_hand(due), style))
    add(out, line, 2, style);
  if (const std::string way = direction_text(pass.plan, std::span(&due, 1)); !way.empty())
    add(out, "! " + way, 2, style);
  if (const review::Fitting* out_since = taken_out(pass, *due.bolt))
    add(out,
        fmt::format("! bolt {} was taken out (line {}): put it in first, or record another as fitted",
                    printable(*due.bolt), out_since->seq),
        2, style);
  return out;
}

namespace {

struct Glyph {
  char letter;
  std::array<std::string_view, 5> rows;
};

// Drawn for this program on a grid of five.
constexpr std::array<Glyph, 42> kGlyphs{{
    {'0', {" ### ", "#   #", "#   #", "#   #", " ### "}},
    {'1', {"  #  ", " ##  ", "  #  ", "  #  ", " ### "}},
    {'2', {"#### ", "    #", " ### ", "#    ", "#####"}},
    {'3', {"#### ", "    #", " ### ", "    #", "#### "}},
    {'4', {"#   #", "#   #", "#####", "    #", "    #"}},
    {'5', {"#####", "#    ", "#### ", "    #", "#### "}},
    {'6', {" ### ", "#    ", "#### ", "#   #", " ### "}},
    {'7', {"#####", "    #", "   # ", "  #  ", "  #  "}},
    {'8', {" ### ", "#   #", " ### ", "#   #", " ### "}},
    {'9', {" ### ", "#   #", " ####", "    #", " ### "}},
    {'.', {"  ", "  ", "  ", "  ", "# "}},
    {'-', {"    ", "    ", "### ", "    ", "    "}},
    {'A', {" ### ", "#   #", "#####", "#   #", "#   #"}},
    {'B', {"#### ", "#   #", "#### ", "#   #", "#### "}},
    {'C', {" ####", "#    ", "#    ", "#    ", " ####"}},
    {'D', {"#### ", "#   #", "#   #", "#   #", "#### "}},
    {'E', {"#####", "#    ", "#### ", "#    ", "#####"}},
    {'F', {"#####", "#    ", "#### ", "#    ", "#    "}},
    {'G', {" ####", "#    ", "#  ##", "#   #", " ####"}},
    {'H', {"#   #", "#   #", "#####", "#   #", "#   #"}},
    {'I', {"### ", " #  ", " #  ", " #  ", "### "}},
    {'J', {"  ###", "    #", "    #", "#   #", " ### "}},
    {'K', {"#   #", "#  # ", "###  ", "#  # ", "#   #"}},
    {'L', {"#    ", "#    ", "#    ", "#    ", "#####"}},
    {'M', {"#   #", "## ##", "# # #", "#   #", "#   #"}},
    {'N', {"#   #", "##  #", "# # #", "#  ##", "#   #"}},
    {'O', {" ### ", "#   #", "#   #", "#   #", " ### "}},
    {'P', {"#### ", "#   #", "#### ", "#    ", "#    "}},
    {'Q', {" ### ", "#   #", "# # #", "#  ##", " ####"}},
    {'R', {"#### ", "#   #", "#### ", "#  # ", "#   #"}},
    {'S', {" ####", "#    ", " ### ", "    #", "#### "}},
    {'T', {"#####", "  #  ", "  #  ", "  #  ", "  #  "}},
    {'U', {"#   #", "#   #", "#   #", "#   #", " ### "}},
    {'V', {"#   #", "#   #", " # # ", " # # ", "  #  "}},
    {'W', {"#   #", "#   #", "# # #", "## ##", "#   #"}},
    {'X', {"#   #", " # # ", "  #  ", " # # ", "#   #"}},
    {'Y', {"#   #", " # # ", "  #  ", "  #  ", "  #  "}},
    {'Z', {"#####", "   # ", "  #  ", " #   ", "#####"}},
    {'^', {" ## ", "#  #", " ## ", "    ", "    "}},
    {'/', {"    #", "   # ", "  #  ", " #   ", "#    "}},
    {'+', {"     ", "  #  ", " ### ", "  #  ", "     "}},
    {' ', {"   ", "   ", "   ", "   ", "   "}},
}};

}  // namespace

std::string big_text(std::string_view text, const TextStyle& style) {
  std::array<std::string, 5> rows;
  for (std::string_view rest = text; !rest.empty();) {
    const char32_t character = text::take_character(rest);
    char letter = ' ';
    if (character == U'°') {
      letter = '^';
    } else if (character == U'·') {
      letter = '.';
    } else if (character < 0x80) {
      letter = static_cast<char>(character >= U'a' && character <= U'z' ? character - 32 : character);
    }
    const auto* const glyph =
        std::find_if(kGlyphs.begin(), kGlyphs.end(), [&](const Glyph& g) { return g.letter == letter; });
    const auto& drawn = glyph != kGlyphs.end() ? glyph->rows : kGlyphs.back().rows;
    if (rows[0].size() + drawn[0].size() + 1 > style.width)
      break;  // what is cut off stands below in plain text
    for (std::size_t row = 0; row < rows.size(); ++row) rows[row] += std::string(drawn[row]) + " ";
  }
  std::string out;
  for (std::string& row : rows) {
    while (!row.empty() && row.back() == ' ') row.pop_back();
    if (!style.ascii)
      for (std::size_t at = 0; (at = row.find('#', at)) != std::string::npos; at += 3)
        row.replace(at, 1, "█");
    out += row + "\n";
  }
  return out;
}

std::string guide_keys() {
  return "  VALUE     a reading: 30.1 N·m, 60°, strokes 25+20+15, both as 60° 71 N·m\n"
         "  y         done, confirmed, keep it\n"
         "  n         no, take it back\n"
         "  (empty)   show the step again\n"
         "  b BOLT    go to that bolt\n"
         "  s         skip this step until nothing else is due\n"
         "  u [WHY]   the last entry does not count, or the last doubt is none\n"
         "  d [BOLT]  in doubt about this bolt: what to do without turning it\n"
         "  n TEXT    a note\n"
         "  ?         this list\n"
         "  q         leave; the pass stays open\n";
}

}  // namespace clampbook::report
