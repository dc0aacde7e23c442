// A book is refused, or read with all its damage, and every pass in it can be judged. A changed byte breaks a
// seal, so each input is read twice: as it is, and with its lines sealed anew, which is what a hand that
// knows how to seal, or a program that seals nonsense, could write.
#include "tests/fuzz/fuzz.h"

#include <clampbook/record/book.h>
#include <clampbook/record/seal.h>
#include <clampbook/review/finding.h>
#include <clampbook/review/operation.h>
#include <clampbook/review/pass.h>

using namespace clampbook;

namespace {

std::string sealed_anew(std::string_view bytes) {
  std::string out, after;
  while (!bytes.empty()) {
    const std::size_t end = std::min(bytes.find('\n'), bytes.size());
    std::string_view line = bytes.substr(0, end);
    bytes.remove_prefix(std::min(end + 1, bytes.size()));
    line = line.substr(0, line.rfind(",\"after\":\""));
    const std::string fresh = record::sealed(std::string(line) + ",\"after\":\"" + after + "\"");
    if (const auto seal = record::verified_seal(fresh)) after = *seal;
    out += fresh + "\n";
  }
  return out;
}

void check_findings(const record::Book& book, const std::vector<review::Pass>& passes,
                    const review::Pass& pass, bool estimated) {
  const auto at_once = review::find_findings(book, passes, pass, review::Until::at_once);
  // The estimates take a hundred times as long as all the rest.
  const auto finished =
      estimated ? review::find_findings(book, passes, pass, review::Until::finished) : at_once;
  fuzz::require(at_once.size() <= finished.size(), "judged as finished, nothing is found less");
  for (const review::Finding& finding : finished) {
    fuzz::require(!finding.slug.empty() && !finding.text.empty(), "a finding says what it is");
    fuzz::require(!finding.remedy.empty(), "a finding says what to do", finding.slug);
    fuzz::require_same_json(review::to_json(finding).dump());
  }
  fuzz::require(review::not_in(finished, finished).empty(), "a finding is the same as itself");
  const review::Progress progress(pass);
  fuzz::require(progress.filled_count() <= pass.plan.steps.size(), "no more is filled than planned");
  fuzz::require((progress.due() == nullptr) == (progress.complete() || pass.abandoned),
                "what is due is not filled");
  if (estimated && review::is_complete(pass, finished))
    fuzz::require(progress.complete(), "complete means every step");
}

void check_book(std::string_view bytes, bool estimated) {
  try {
    const record::Book book = record::parse_book(bytes, "input");
    for (std::size_t i = 1; i < book.events.size(); ++i)
      fuzz::require(book.events[i - 1].seq < book.events[i].seq, "lines are counted upwards");
    fuzz::require(book.torn <= bytes.size(), "what is torn is in the file");
    const std::vector<review::Pass> passes = review::read_passes(book);
    for (const review::Pass& pass : passes) check_findings(book, passes, pass, estimated);
    if (estimated) static_cast<void>(review::build_states(book, passes));
  } catch (const InputError& refusal) {
    fuzz::require_helpful(refusal);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes = fuzz::as_text(data, size);
  const bool estimated = fuzz::takes_its_time(size);
  check_book(bytes, estimated);
  check_book(sealed_anew(bytes), estimated);
  return 0;
}
