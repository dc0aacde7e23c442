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
    : name_(std::move(path)), clock_(std::move(clock)), file_(name_, record::BookFile::Missing::refuse) {
  static_cast<void>(follow());
}

std::vector<Finding> OpenBook::follow() {
  keys_.follow(book());
  if (followed_ == 0) {
    passes_.take(book());
    followed_ = book().events.size();
  }
  std::vector<Finding> brought;
  for (; followed_ < book().events.size(); ++followed_) {
    const record::Event& event = book().events[followed_];
    passes_.take(event);
    brought.clear();
    for (auto& [number, judgement] : judged_) {
      std::vector<Finding> found = judgement.take(event, {book(), passes(), pass(number)});
      if (number == event.pass()) brought = std::move(found);
    }
  }
  return brought;
}

const Pass& OpenBook::pass(std::int64_t number) const {
  const Pass* found = passes_.find(number);
  if (found == nullptr) throw std::logic_error("a pass that is not in the book");
  return *found;
}

bool OpenBook::resume() {
  const record::BookFile::Change change = file_.resume();
  if (change == record::BookFile::Change::none) return false;
  if (change == record::BookFile::Change::another) {
    keys_.clear();
    passes_ = {};
    followed_ = 0;
    judged_.clear();
  }
  static_cast<void>(follow());
  return true;
}

review::Judgement& OpenBook::judgement(const Pass& pass) {
  const auto found = judged_.find(pass.number);
  if (found != judged_.end()) return found->second;
  return judged_.emplace(pass.number, review::Judgement({book(), passes(), pass})).first->second;
}

const std::vector<Finding>& OpenBook::findings(const Pass& pass) {
  return judgement(pass).at_once();
}

std::optional<Answer> OpenBook::repeated(const std::optional<Word>& key, const std::string& typed) {
  const record::Event* event = keys_.find(key, typed, name_);
  if (event == nullptr) return std::nullopt;
  Answer out{event, passes_.find(event->pass()), true};
  if (out.pass == nullptr) return out;
  out.findings = judgement(*out.pass).of_line(event->seq, *out.pass);
  out.next = review::Progress(*out.pass).due();
  return out;
}

Answer OpenBook::append(const record::Draft& draft, record::Timestamp now) {
  const Pass* pass = passes_.find(record::pass_of(draft.line));
  if (pass == nullptr) throw std::logic_error("a line for a pass that is not in the book");
  static_cast<void>(judgement(*pass));  // so that it takes the line
  static_cast<void>(file_.append({&draft, 1}, now));
  const record::Event& written = book().events.back();
  Answer out{&written, pass};
  out.findings = follow();
  out.next = review::Progress(*pass).due();
  return out;
}

Answer OpenBook::file(const EntryRequest& request) {
  const record::Timestamp now = clock_();
  check(request, now);
  if (auto answer = repeated(request.key, typed_digest(request))) return *std::move(answer);
  const Pass& pass = choose_pass(passes(), request.pass, PassFor::writing, name_);
  return append(draft_for(pass, request, name_, now), now);
}

Answer OpenBook::file(const AmendRequest& request) {
  require_key(request.key);
  if (auto answer = repeated(request.key, typed_digest(request))) return *std::move(answer);
  const Pass& pass = choose_pass(passes(), request.pass, PassFor::amending, name_);
  const record::Timestamp now = clock_();
  const auto finished = [&] {
    return review::find_findings(book(), passes(), pass, review::Until::finished);
  };
  return append(draft_for(pass, request, finished, now), now);
}

}  // namespace clampbook::bench
