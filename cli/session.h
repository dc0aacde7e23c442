// Recording something in a pass: what log, amend and guide have in common. The book is locked from the moment
// it is read until the answer is known, so that what was judged is what was written to.
#pragma once

#include "cli/command.h"

#include <clampbook/record/book_file.h>
#include <clampbook/review/finding.h>

#include <optional>
#include <string>
#include <vector>

namespace clampbook::cli {

/// What came of an event: itself, the findings that it brought, and what is due.
struct Recorded {
  const record::Event* event = nullptr;
  const review::Pass* pass = nullptr;
  bool repeated = false;  ///< it stood in the book already, under the same key
  std::vector<review::Finding> findings{};
  const plan::Step* next = nullptr;

  [[nodiscard]] ExitStatus status() const {
    return review::falls_short(findings) ? ExitStatus::falls_short : ExitStatus::done;
  }
};

class Session {
 public:
  /// Opens and reads the book. Throws as BookFile does.
  explicit Session(std::string book_name);

  [[nodiscard]] record::BookFile& book() { return book_; }
  [[nodiscard]] const std::string& book_name() const { return book_name_; }
  [[nodiscard]] std::vector<review::Pass>& passes() { return passes_; }
  /// Lets others write until resume().
  void release() { book_.release(); }
  /// Sees what others wrote meanwhile. True when there was something; passes() are then others.
  [[nodiscard]] bool resume();

  /// The event of an earlier call with the same key. Throws UsageError (key-reused) when that call said
  /// something else.
  [[nodiscard]] std::optional<Recorded> repeated(const std::optional<std::string>& key,
                                                 const std::string& typed);
  /// What check would say of the pass so far at once; kept until the book says more.
  [[nodiscard]] const std::vector<review::Finding>& findings(const review::Pass& pass);
  /// Appends the event to the pass and judges it.
  [[nodiscard]] Recorded record(review::Pass& pass, const record::Draft& draft, record::Timestamp now);

 private:
  [[nodiscard]] review::Pass* pass_of(const record::Event& event);

  std::string book_name_;
  record::BookFile book_;
  std::vector<review::Pass> passes_;
  struct Judged {
    std::int64_t pass = 0;
    std::int64_t lines = 0;  // of the book, then
    std::vector<review::Finding> findings;
  };
  std::optional<Judged> judged_{};
};

/// The event that stands under the key, or nullptr. Throws UsageError (key-reused) when it says something
/// else.
[[nodiscard]] const record::Event* find_key(const record::Book& book, const std::string& book_name,
                                            const std::optional<std::string>& key, const std::string& typed);

/// What was typed, apart from the book, the key and how to print: the content that a key stands for.
[[nodiscard]] std::string typed_content(std::string_view verb, const Arguments& arguments);

/// What --key, --tool, --by, --note and --because say; `typed` stands beside a key.
[[nodiscard]] record::Remarks remarks_of(const Arguments& arguments, const std::string& typed);

/// `{seq, pass, step, stage, bolt, kind, value_Q, also_Q, given, at, written, repeated, findings, next}`.
[[nodiscard]] text::Json to_json(const Recorded& recorded);

}  // namespace clampbook::cli
