// A whole assembly: operations, each a schedule or gates of its own, and what must be finished before each.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/schedule/model.h>

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::schedule {

struct Operation {
  std::string name;
  text::Location at;    ///< its name
  std::string file{};   ///< the schedule's path as written, from the build file on; empty: its own gates
  Schedule schedule{};  ///< the file's; of its own gates one without bolts
  std::vector<std::string> after{};  ///< names of operations that must be finished first, as written
  /// The bolts that belong at this point: indices in Schedule::bolts, in list order; empty: all.
  std::vector<std::size_t> only{};

  [[nodiscard]] bool has_own_gates() const { return file.empty(); }
  /// The ids of `only`.
  [[nodiscard]] std::vector<std::string> only_ids() const;
};

struct Build {
  text::SourcePtr source;
  std::string title, machine{}, notice{};
  std::vector<Operation> operations{};  ///< as written

  [[nodiscard]] const Operation* find(std::string_view name) const;
  /// Indices of the operations in an order in which each stands below those that it must wait for; as written
  /// where nothing speaks against it.
  [[nodiscard]] std::vector<std::size_t> in_order() const;
};

inline constexpr std::size_t kMostOperations = 200;

/// True when the first key of the text says that it is a build, of whatever version. Looks at the front of
/// the text alone, because whoever asks reads the file afterwards.
[[nodiscard]] bool is_build(std::string_view text);

/// Reads `format: build 1` and the schedules that it names, whose paths count from the folder of the build
/// file. Throws InputError with up to 20 problems, those of the build file and those of its schedules, each
/// with its place.
[[nodiscard]] Build read_build(const text::SourcePtr& source);

/// The schedule of an operation of gates, from the build's text alone: no other file is read. Throws
/// InputError (as read_build; unknown-operation also when the operation is a schedule).
[[nodiscard]] Schedule read_own_gates(const text::SourcePtr& source, std::string_view operation);

}  // namespace clampbook::schedule
