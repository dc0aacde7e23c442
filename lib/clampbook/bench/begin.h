// A pass is begun: everything that can be refused is looked at before the book is touched.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/bench/open_book.h>
#include <clampbook/bench/request.h>
#include <clampbook/text/source.h>

#include <optional>
#include <string>
#include <vector>

namespace clampbook::bench {

struct BeginRequest {
  text::SourcePtr file;             ///< a schedule or a build, named as it was given
  std::optional<Word> operation{};  ///< of a build: the one that is begun
  bool trial = false;
  std::optional<Word> only{};  ///< only these bolts
  text::SourcePtr tools{};     ///< the tool list, named as it was given; null without one
  std::optional<Word> key{};
  Words words{};
  std::string program{};  ///< who writes the book: "clampbook 1.2"
};

struct Begun {
  std::int64_t seq = 0;  ///< of the `begun` line
  bool repeated = false;
  std::optional<std::string> only{};        ///< the bolts that the pass is for, as they are kept
  std::vector<review::Finding> findings{};  ///< what stands against beginning it at all
  const review::Pass* pass = nullptr;       ///< in `passes`
  std::vector<review::Pass> passes{};
};

/// Begins a pass in the book at `path`, which is made when there is none. First recorded, then judged.
/// Throws UsageError: bad-option, missing-argument, key-reused; InputError: whatever the files have wrong,
/// unknown-operation, not-in-pass; StoreError as BookFile does.
[[nodiscard]] Begun begin(const std::string& path, const BeginRequest& request, const Clock& clock);

}  // namespace clampbook::bench
