#include <clampbook/bench/amend.h>
#include <clampbook/bench/choose.h>
#include <clampbook/bench/entry.h>
#include <clampbook/bench/key.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::bench {

using review::Entry;
using review::Pass;
using Findings = std::function<std::vector<review::Finding>()>;

namespace {

[[noreturn]] void nothing_there(const Word& word, std::string message) {
  throw InputError(text::Diagnostic{"nothing-due", std::move(message),
                                    "clampbook check BOOK names the lines; nothing was recorded",
                                    word.place()});
}

record::Void void_line(const Pass& pass, const Word& word) {
  const std::int64_t line = whole_number(word);
  const bool entry = std::any_of(pass.entries.begin(), pass.entries.end(),
                                 [&](const Entry& e) { return e.seq == line && !e.voided_by; });
  const bool doubt = std::any_of(pass.doubts.begin(), pass.doubts.end(),
                                 [&](const review::Doubt& d) { return d.seq == line && !d.resolved; });
  if (!entry && !doubt)
    nothing_there(word, fmt::format("line {} holds no entry of this pass that counts", word.text));
  return {pass.number, line};
}

record::Accepted accept_line(const Pass& pass, const AmendRequest& request, const Findings& findings) {
  const Word& word = *request.what;
  const std::int64_t line = whole_number(word);
  if (!request.words.because)
    throw UsageError(text::Diagnostic{"missing-argument", "--accept needs --because",
                                      "the reason stands in the record beside the finding"});
  bool found = false;
  for (const review::Finding& f : findings()) {
    if (f.seq != line || f.severity == review::Severity::note) continue;
    if (f.slug == "altered-record")
      nothing_there(word, fmt::format("line {} was altered; that can't be accepted away", word.text));
    found = true;
  }
  if (!found) nothing_there(word, fmt::format("nothing was found on line {}", word.text));
  return {pass.number, line};
}

record::Fitted fitted_line(const Pass& pass, const AmendRequest& request) {
  record::Fitted out{pass.number, choose_bolts(pass, *request.what)};
  if (request.uses) out.uses = whole_number(*request.uses);
  return out;
}

record::Line line_of(const Pass& pass, const AmendRequest& request, const Findings& findings) {
  switch (request.act) {
    case AmendRequest::Act::void_line:
      return void_line(pass, *request.what);
    case AmendRequest::Act::fitted:
      return fitted_line(pass, request);
    case AmendRequest::Act::removed:
      return record::Removed{pass.number, choose_bolts(pass, *request.what)};
    case AmendRequest::Act::unsure:
      require_bolt(pass, {"BOLT", request.what->text});
      return doubt_about(pass, request.what->text);
    case AmendRequest::Act::accept:
      return accept_line(pass, request, findings);
    case AmendRequest::Act::abandon:
      return record::Abandoned{pass.number};
    case AmendRequest::Act::note:
      break;
  }
  return record::Note{pass.number};
}

// The line whose words it is: a line that stands again says an older one's.
const Entry* origin_of(const Pass& pass, const Entry* entry) {
  while (entry != nullptr && entry->restores && *entry->restores < entry->seq) {
    const Entry* older = review::entry_on(pass, *entry->restores);
    if (older == nullptr) break;
    entry = older;
  }
  return entry;
}

}  // namespace

record::Draft draft_for(const Pass& pass, const AmendRequest& request, const Findings& findings,
                        record::Timestamp now) {
  return {now, line_of(pass, request, findings),
          remarks_of(request.words, request.key, typed_digest(request))};
}

record::Unsure doubt_about(const Pass& pass, const std::string& bolt) {
  const review::Progress progress(pass);
  const plan::Step* step = progress.due_for(bolt);
  if (step == nullptr)
    for (const plan::Step& s : pass.plan.steps)
      if (s.bolt == bolt) step = &s;
  return {{pass.number, step->step, step->stage, bolt}};
}

std::optional<record::Draft> restored(const record::Book& book, const Pass& pass, const Entry& entry) {
  const Entry* origin = origin_of(pass, &entry);
  const Entry* before =
      origin->corrects ? origin_of(pass, review::entry_on(pass, *origin->corrects)) : nullptr;
  const plan::Step* step = review::Progress(pass, true).find(entry.step);
  if (before == nullptr || before->seq >= entry.seq || before->step != entry.step || before->past_piece ||
      step == nullptr || !step->bolt)
    return std::nullopt;
  const record::Event* event = record::event_on(book, before->seq);
  const auto* reading = event != nullptr ? std::get_if<record::Reading>(&event->line) : nullptr;
  if (reading == nullptr) return std::nullopt;
  record::Reading again = *reading;
  again.corrects = entry.seq;
  again.restores = before->seq;
  record::Remarks remarks = *event->remarks;
  remarks.key.reset();
  remarks.typed.reset();
  remarks.rest.clear();  // of a newer program: who says the line again does not know what it means
  return record::Draft{event->at, std::move(again), std::move(remarks)};
}

}  // namespace clampbook::bench
