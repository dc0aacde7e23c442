// A book that is open for a pass in progress: it holds the file, its lock, the clock and the keys. What can
// be refused is refused before anything is written; the book is locked from the moment it is read until the
// answer is known, so that what was judged is what was written to.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/bench/request.h>
#include <clampbook/record/book_file.h>
#include <clampbook/review/finding.h>
#include <clampbook/review/judgement.h>
#include <clampbook/review/passes.h>

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

namespace clampbook::bench {

/// Asked once a line, after the lock is held: times follow the order of the lines.
using Clock = std::function<record::Timestamp()>;

/// By key, the lines that stand under one.
class Keys {
 public:
  /// Takes the events that came since.
  void follow(const record::Book& book);
  void clear() { *this = Keys(); }
  /// The line under the key; nullptr when there is none. `book_name` is for messages. Throws UsageError
  /// (key-reused) when it says something else.
  [[nodiscard]] const record::Event* find(const std::optional<Word>& key, const std::string& typed,
                                          const std::string& book_name) const;

 private:
  std::unordered_map<std::string, const record::Event*> lines_;
  std::size_t followed_ = 0;
};

class OpenBook {
 public:
  /// Opens, locks and reads. Throws as BookFile does.
  OpenBook(std::string path, Clock clock);

  [[nodiscard]] const record::Book& book() const { return file_.book(); }
  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] const std::vector<review::Pass>& passes() const { return passes_.all(); }
  /// The pass of that number, which must be there.
  [[nodiscard]] const review::Pass& pass(std::int64_t number) const;
  [[nodiscard]] record::Timestamp now() const { return clock_(); }

  /// Lets others write until resume().
  void release() { file_.release(); }
  /// Sees what others wrote meanwhile. True when there was something; passes() are then others.
  bool resume();

  [[nodiscard]] View view(std::int64_t number) {
    const review::Pass& seen = pass(number);
    return {book(), seen, findings(seen)};
  }
  /// What check would say of the pass so far at once; kept until the book says more.
  [[nodiscard]] const std::vector<review::Finding>& findings(const review::Pass& pass);

  /// Files the entry, or answers as before when its key stands in the book. Throws UsageError and InputError
  /// for what is refused, StoreError as BookFile::append does.
  [[nodiscard]] Answer file(const EntryRequest& request);
  [[nodiscard]] Answer file(const AmendRequest& request);
  [[nodiscard]] Answer file(const record::Draft& draft) { return append(draft, clock_()); }
  [[nodiscard]] Answer file(const Request& request) {
    return std::visit([&](const auto& what) { return file(what); }, request);
  }
  /// Appends the line to the pass that it names, and judges it.
  [[nodiscard]] Answer append(const record::Draft& draft, record::Timestamp now);

 private:
  [[nodiscard]] std::optional<Answer> repeated(const std::optional<Word>& key, const std::string& typed);
  /// Takes the lines that came since: our own and those of others. Returns what the last one brought of its
  /// pass.
  std::vector<review::Finding> follow();
  [[nodiscard]] review::Judgement& judgement(const review::Pass& pass);

  std::string name_;
  Clock clock_;
  record::BookFile file_;
  review::Passes passes_{};
  std::size_t followed_ = 0;  // events of the book
  Keys keys_{};
  std::map<std::int64_t, review::Judgement> judged_{};  // by pass, those that were asked for
};

}  // namespace clampbook::bench
