#include <clampbook/bench/amend.h>
#include <clampbook/bench/choose.h>
#include <clampbook/bench/entry.h>
#include <clampbook/bench/key.h>
#include <clampbook/bench/open_book.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>
#include <utility>

namespace clampbook::bench {

using review::Finding;
using review::Pass;

void Keys::follow(const record::Book& book) {
  for (; followed_ < book.events.size(); ++followed_) {
    const record::Event& event = book.events[followed_];
    if (const auto& key = event.remarks->key) lines_.try_emplace(*key, &event);  // the first one counts
  }
}

const record::Event* Keys::find(const std::optional<Word>& key, const std::string& typed,
                                const std::string& book_name) const {
  const auto found = key ? lines_.find(key->text) : lines_.end();
  if (found == lines_.end()) return nullptr;
  if (found->second->remarks->typed == typed) return found->second;
  text::Diagnostic d{
      "key-reused",
      fmt::format("the key '{}' stands for something else, on line {}", key->text, found->second->seq),
      "take a new key for a new entry; nothing was recorded"};
  d.file = book_name;
  throw UsageError(std::move(d));
}

OpenBook::OpenBook(std::string path, Clock clock)
    : name_(std::move(path)),
      clock_(std::move(clock)),
      file_(name_, record::BookFile::Missing::refuse),
      passes_(review::read_passes(file_.book())) {
  keys_.follow(book());
}

const Pass& OpenBook::pass(std::int64_t number) const {
  const auto found =
      std::find_if(passes_.begin(), passes_.end(), [&](const Pass& p) { return p.number == number; });
  if (found == passes_.end()) throw std::logic_error("a pass that is not in the book");
  return *found;
}

Pass* OpenBook::find_pass(std::int64_t number) {
  const auto found =
      std::find_if(passes_.begin(), passes_.end(), [&](const Pass& p) { return p.number == number; });
  return found == passes_.end() ? nullptr : &*found;
}

bool OpenBook::resume() {
  const record::BookFile::Change change = file_.resume();
  if (change == record::BookFile::Change::none) return false;
  if (change == record::BookFile::Change::another) keys_.clear();
  keys_.follow(book());
  passes_ = review::read_passes(book());
  judged_.reset();
  return true;
}

const std::vector<Finding>& OpenBook::findings(const Pass& pass) {
  const std::int64_t lines = book().lines;
  if (!judged_ || judged_->pass != pass.number || judged_->lines != lines)
    judged_ =
        Judged{pass.number, lines, review::find_findings(book(), passes_, pass, review::Until::at_once)};
  return judged_->findings;
}

std::optional<Answer> OpenBook::repeated(const std::optional<Word>& key, const std::string& typed) {
  const record::Event* event = keys_.find(key, typed, name_);
  if (event == nullptr) return std::nullopt;
  Answer out{event, find_pass(event->pass()), true};
  if (out.pass == nullptr) return out;
  for (const Finding& finding : findings(*out.pass))
    if (finding.seq == event->seq) out.findings.push_back(finding);
  out.next = review::Progress(*out.pass).due();
  return out;
}

Answer OpenBook::append(const record::Draft& draft, record::Timestamp now) {
  Pass* pass = find_pass(record::pass_of(draft.line));
  if (pass == nullptr) throw std::logic_error("a line for a pass that is not in the book");
  const std::vector<Finding> before = findings(*pass);  // a copy: the next judgement takes its place
  static_cast<void>(file_.append({&draft, 1}, now));
  const record::Event& written = book().events.back();
  keys_.follow(book());
  review::apply(*pass, written);
  Answer out{&written, pass};
  out.findings = review::not_in(before, findings(*pass));
  out.next = review::Progress(*pass).due();
  return out;
}

Answer OpenBook::file(const EntryRequest& request) {
  const record::Timestamp now = clock_();
  check(request, now);
  if (auto answer = repeated(request.key, typed_digest(request))) return *std::move(answer);
  const Pass& pass = choose_pass(passes_, request.pass, PassFor::writing, name_);
  return append(draft_for(pass, request, name_, now), now);
}

Answer OpenBook::file(const AmendRequest& request) {
  require_key(request.key);
  if (auto answer = repeated(request.key, typed_digest(request))) return *std::move(answer);
  const Pass& pass = choose_pass(passes_, request.pass, PassFor::amending, name_);
  const record::Timestamp now = clock_();
  const auto finished = [&] { return review::find_findings(book(), passes_, pass, review::Until::finished); };
  return append(draft_for(pass, request, finished, now), now);
}

}  // namespace clampbook::bench
