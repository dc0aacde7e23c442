// A pass as one operation of a build: what must be finished before it, and what of the build is finished.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/record/book.h>
#include <clampbook/text/json.h>

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace clampbook::schedule {
struct Build;
struct Operation;
}  // namespace clampbook::schedule

namespace clampbook::review {

struct Finding;
struct Pass;

/// A pass as an operation of a build: what the book keeps of the build, and which operation was begun.
struct BuildPart {
  record::Build build;
  std::string operation;
};

[[nodiscard]] BuildPart build_part(const schedule::Build& build, const schedule::Operation& operation,
                                   std::string sha256);

/// Adds the fault gate-open, on the line that began the pass, when an operation that must be finished first
/// is not. Finished means: final passes of it are complete, without an open fault, and cover all its steps.
void judge_operation(const record::Book& book, const std::vector<Pass>& passes, const Pass& pass,
                     std::vector<Finding>& out);

/// Whether entries of the pass may decide what judge_operation() says of it: builds that were changed between
/// two passes may form a ring, and a later pass may go through the same bolts.
[[nodiscard]] bool may_wait_for_itself(const std::vector<Pass>& passes, const Pass& pass);

struct BuildState {
  std::string title;
  std::vector<std::string> finished{}, open{};  ///< names of operations, in their order
};
/// The builds that passes of the book belong to, each as its latest pass tells it.
[[nodiscard]] std::vector<BuildState> build_states(const record::Book& book, const std::vector<Pass>& passes);

}  // namespace clampbook::review
