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

/// What the book keeps of a build when a pass of one of its operations begins.
struct BuildPart {
  struct Operation {
    std::string name;
    std::vector<std::string> after{};  ///< operations that must be finished first
  };
  std::string title;                    ///< of the build; passes of one title belong together
  std::string file, sha256;             ///< of the build's text
  std::vector<Operation> operations{};  ///< all of them, in the order in which they can be done
  std::string operation{};              ///< the one that was begun
  std::size_t steps = 0;                ///< of the whole operation: a narrower pass alone does not finish it
};

[[nodiscard]] BuildPart build_part(const schedule::Build& build, const schedule::Operation& operation,
                                   std::string sha256);
/// `{title, file, sha256, operations:[{name, after}], steps}`; the operation is kept beside it.
[[nodiscard]] text::Json to_record(const BuildPart& part);
/// From the members `build` and `operation` of a `begun` line; nothing when the pass belongs to no build.
[[nodiscard]] std::optional<BuildPart> build_part_of(const record::Event& begun);

/// Adds the fault gate-open, on the line that began the pass, when an operation that must be finished first
/// is not. Finished means: final passes of it are complete, without an open fault, and cover all its steps.
void judge_operation(const record::Book& book, const std::vector<Pass>& passes, const Pass& pass,
                     std::vector<Finding>& out);

struct BuildState {
  std::string title;
  std::vector<std::string> finished{}, open{};  ///< names of operations, in their order
};
/// The builds that passes of the book belong to, each as its latest pass tells it.
[[nodiscard]] std::vector<BuildState> build_states(const record::Book& book, const std::vector<Pass>& passes);

}  // namespace clampbook::review
