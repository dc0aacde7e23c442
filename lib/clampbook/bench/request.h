// What may be asked of a pass in progress: an entry, an amendment. The words are kept as they were typed,
// each with its name, so that a refusal can point into them; what they mean is found here, by every face
// alike.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/record/book.h>
#include <clampbook/record/line.h>
#include <clampbook/review/finding.h>
#include <clampbook/text/source.h>

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace clampbook::bench {

/// A word that somebody gave, and what it is called where it was given: "VALUE", "--also", "field torque".
struct Word {
  std::string name;
  std::string text;

  [[nodiscard]] clampbook::text::SourcePtr source() const;
  /// The whole of it.
  [[nodiscard]] clampbook::text::Location place() const;
};

/// Who says it, with what, and why; free text.
struct Words {
  std::optional<std::string> by{}, note{}, because{};
};

/// One reading at a bolt, or one gate. Exactly one of `value`, `tick`, `count` and `measure`.
struct EntryRequest {
  std::optional<Word> pass{};  ///< its number; without it the only open one
  std::optional<int> step{};   ///< of the plan: it is filed there, whatever happened since
  std::optional<Word> bolt{}, value{}, unit{}, also{};
  bool tick = false, no_turn = false;
  std::optional<Word> count{}, measure{};
  std::optional<Word> stage{}, label{}, correct{}, tool{}, at{}, key{};
  Words words{};

  /// True when a gate is to be filed. Throws UsageError (bad-option) for parts that exclude each other.
  [[nodiscard]] bool is_gate() const;
};

/// What was not said by a tool. A note alone is one, too.
struct AmendRequest {
  enum class Act { void_line, fitted, removed, unsure, accept, abandon, note };
  Act act = Act::note;
  std::optional<Word> what{};  ///< a line, bolts, a bolt; of abandon and note none
  std::optional<Word> uses{};  ///< of fitted
  std::optional<Word> pass{}, key{};
  Words words{};
};

/// What may be asked of a book: an entry, an amendment, or a line that was made already.
using Request = std::variant<EntryRequest, AmendRequest, record::Draft>;

/// What is seen of a pass between two requests. It holds until the book says more.
struct View {
  const record::Book& book;
  const review::Pass& pass;
  const std::vector<review::Finding>& findings;  ///< what check would say of it so far at once
};

/// What came of a request: its line, the findings that it brought, and what is due.
struct Answer {
  const record::Event* event = nullptr;
  const review::Pass* pass = nullptr;  ///< null when the line's pass is not in the book any more
  bool repeated = false;               ///< it stood in the book already, under the same key
  std::vector<review::Finding> findings{};
  const plan::Step* next = nullptr;
};

}  // namespace clampbook::bench
