#include "cli/command.h"
#include "cli/selection.h"
#include "cli/session.h"

#include <clampbook/report/pass_text.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace clampbook::cli {

namespace {

using review::Pass;
using text::Json;

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "amend",
      "Records what no tool said: a line that does not count, another bolt, a doubt, a finding that is "
      "accepted.",
      {{"BOOK", "the record file"}},
      {{"--void", "SEQ", "that line does not count; its step is open again"},
       {"--fitted", "BOLTS", "other pieces sit there now; their steps are open again"},
       {"--uses", "N", "with --fitted: how often they were tightened before"},
       {"--removed", "BOLTS", "they were taken out; their steps are open again"},
       {"--unsure", "BOLT",
        "a doubt that keeps the pass incomplete; says what to do without turning further"},
       {"--accept", "SEQ", "keeps what was found on that line, with its reason; needs --because"},
       {"--abandon", "", "ends the pass unfinished"},
       {"--note", "TEXT", "a note"},
       {"--pass", "N", "the pass (default: the only open one)"},
       {"--by", "NAME", "who says so"},
       {"--because", "TEXT", "why"},
       {"--key", "K", "at most 64 characters: the same call again records nothing twice"}},
      {"clampbook amend casing.book --void 12 --because \"read on the neighbour\"",
       "clampbook amend casing.book --fitted 3,4", "clampbook amend casing.book --unsure 9"}};
  return kSpec;
}

constexpr std::array<std::string_view, 6> kActions{"--void",   "--fitted", "--removed",
                                                   "--unsure", "--accept", "--abandon"};

// The one thing that is to be said; a note alone is one too.
std::string_view read_action(const Arguments& arguments) {
  std::string_view action;
  for (const std::string_view a : kActions) {
    if (!arguments.has(a)) continue;
    if (!action.empty())
      throw UsageError(text::Diagnostic{"bad-option", fmt::format("{} and {} are two things", action, a),
                                        "say one at a time"});
    action = a;
  }
  if (action.empty() && arguments.has("--note")) action = "--note";
  if (action.empty())
    throw UsageError(text::Diagnostic{
        "missing-argument",
        "amend needs one of --void, --fitted, --removed, --unsure, --accept, --abandon and --note",
        "clampbook amend --help"});
  if (arguments.has("--uses") && action != "--fitted")
    throw UsageError(text::Diagnostic{"bad-option", "--uses belongs to --fitted", ""});
  return action;
}

std::int64_t read_whole_number(std::string_view option, const std::string& word) {
  const text::Location at = whole(argument(option, word));
  const text::NumberScan scan = text::scan_number(word);
  if (!scan)
    throw InputError(text::Diagnostic{std::string(text::slug(scan.fault)), text::describe(scan.fault, word),
                                      text::suggest(scan.fault, word), at});
  if (scan.value < 0 || scan.value > 1e9 || scan.value != std::floor(scan.value))
    throw InputError(text::Diagnostic{"bad-number", fmt::format("'{}' is not a whole number", word), "", at});
  return static_cast<std::int64_t>(scan.value);
}

[[noreturn]] void nothing_there(std::string_view option, const std::string& word, std::string message) {
  throw InputError(text::Diagnostic{"nothing-due", std::move(message),
                                    "clampbook check BOOK names the lines; nothing was recorded",
                                    whole(argument(option, word))});
}

// BOLTS by ids, ranges and groups, from the plan that the pass was begun with.
std::vector<std::string> read_bolts(std::string_view option, const std::string& words, const Pass& pass) {
  schedule::Schedule names;  // what select_bolts needs of a schedule
  for (const plan::PlanBolt& bolt : pass.plan.bolts) names.bolts.push_back({bolt.id, {}, {}, 0, bolt.group});
  std::vector<std::string> out;
  for (const std::size_t i : schedule::select_bolts(names, argument(option, words))) {
    require_bolt(pass, names.bolts[i].id);
    out.push_back(names.bolts[i].id);
  }
  return out;
}

Json::Object void_members(const Arguments& arguments, const Pass& pass) {
  const std::string word = *arguments.value("--void");
  const std::int64_t line = read_whole_number("--void", word);
  const bool entry = std::any_of(pass.entries.begin(), pass.entries.end(),
                                 [&](const review::Entry& e) { return e.seq == line && !e.voided_by; });
  const bool doubt = std::any_of(pass.doubts.begin(), pass.doubts.end(),
                                 [&](const review::Doubt& d) { return d.seq == line && !d.resolved; });
  if (!entry && !doubt)
    nothing_there("--void", word, fmt::format("line {} holds no entry of this pass that counts", word));
  return {{"voids", line}};
}

Json::Object accept_members(const Arguments& arguments, Session& session, const Pass& pass) {
  const std::string word = *arguments.value("--accept");
  const std::int64_t line = read_whole_number("--accept", word);
  if (!arguments.has("--because"))
    throw UsageError(text::Diagnostic{"missing-argument", "--accept needs --because",
                                      "the reason stands in the record beside the finding"});
  bool found = false;
  for (const review::Finding& f :
       review::find_findings(session.book().book(), session.passes(), pass, review::Until::finished)) {
    if (f.seq != line || f.severity == review::Severity::note) continue;
    if (f.slug == "altered-record")
      nothing_there("--accept", word, fmt::format("line {} was altered; that can't be accepted away", word));
    found = true;
  }
  if (!found) nothing_there("--accept", word, fmt::format("nothing was found on line {}", word));
  return {{"accepts", line}};
}

Json::Object members_of(std::string_view action, const Arguments& arguments, Session& session,
                        const Pass& pass) {
  if (action == "--void") return void_members(arguments, pass);
  if (action == "--accept") return accept_members(arguments, session, pass);
  if (action == "--unsure") {
    const std::string bolt = *arguments.value("--unsure");
    require_bolt(pass, bolt);
    const review::Progress progress(pass);
    const plan::Step* step = progress.due_for(bolt);
    if (step == nullptr)
      for (const plan::Step& s : pass.plan.steps)
        if (s.bolt == bolt) step = &s;
    return {{"step", step->step}, {"stage", step->stage}, {"bolt", bolt}};
  }
  if (action == "--fitted" || action == "--removed") {
    Json list = Json::array();
    for (const std::string& id : read_bolts(action, *arguments.value(action), pass)) list.push(id);
    Json::Object out{{"bolts", std::move(list)}};
    if (const auto uses = arguments.value("--uses"))
      out.emplace_back("uses", read_whole_number("--uses", *uses));
    return out;
  }
  return {};
}

std::string kind_of(std::string_view action) {
  if (action == "--accept") return "accepted";
  if (action == "--abandon") return "abandoned";
  return std::string(action.substr(2));
}

std::string said(const Recorded& recorded) {
  const record::Event& event = *recorded.event;
  std::string out = fmt::format("{} {}: ", recorded.repeated ? "recorded before, as" : "recorded", event.seq);
  if (event.kind == "void") return out + fmt::format("line {} does not count\n", *event.integer("voids"));
  if (event.kind == "accepted")
    return out + fmt::format("what was found on line {} is accepted; it stays in the record\n",
                             *event.integer("accepts"));
  if (event.kind == "abandoned") return out + fmt::format("pass {} is abandoned\n", *event.integer("pass"));
  if (event.kind == "note") return out + "a note\n";
  if (event.kind == "unsure") {
    const std::string bolt = event.text("bolt").value_or("");
    return out + fmt::format("bolt {} is in doubt\n", text::printable(bolt));
  }
  std::string list;
  for (const Json& id : *event.body.find("bolts")->as_array())
    list += (list.empty() ? "" : ", ") + text::printable(*id.as_string());
  return out + fmt::format("{} {}; their steps are open again\n",
                           event.kind == "fitted" ? "other bolts now sit at" : "taken out:", list);
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::string_view action = read_action(arguments);
  require_key(arguments);
  const std::string typed = typed_content("amend", arguments);
  Session session(*arguments.operand("BOOK"));
  const record::Timestamp now = context.now();  // after the wait for other writers
  std::optional<Recorded> recorded = session.repeated(arguments.value("--key"), typed);
  if (!recorded) {
    Pass& pass = select_pass(session.passes(), arguments, PassFor::amending, session.book_name());
    record::NewEvent event{now, kind_of(action), {{"pass", pass.number}}};
    for (auto& member : members_of(action, arguments, session, pass))
      event.members.push_back(std::move(member));
    append_remarks(event.members, arguments, typed);
    recorded = session.record(pass, event, now);
  }
  if (context.json) {
    write_json(context, to_json(*recorded));
  } else {
    const report::TextStyle style = text_style(context);
    write_text(context, said(*recorded) + report::findings_text(recorded->findings, style) +
                            report::next_line(*recorded->pass, recorded->next));
  }
  return recorded->status();
}

}  // namespace

Command amend_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
