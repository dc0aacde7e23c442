// What a line of the book says: a struct for each kind, which holds what the line's bytes say and nothing
// that is worked out from them. Whoever appends, appends one of these; whoever reads, reads one of these.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/record/box.h>
#include <clampbook/record/timestamp.h>
#include <clampbook/text/json.h>
#include <clampbook/units/measured.h>

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace clampbook::record {

/// A number in the machine unit of its dimension: `value_Nm`, `also_deg`; a bare `value` is a ratio.
struct Quantity {
  units::Dimension dimension = units::Dimension::ratio;
  double value = 0;
  bool operator==(const Quantity&) const = default;
};
[[nodiscard]] Quantity quantity_of(const units::Measured& measured);
[[nodiscard]] units::Measured measured(const Quantity& quantity);

/// Where an entry belongs. 0 stands for a number that the line does not say, or says wrongly.
struct Place {
  std::int64_t pass = 0;
  int step = 0, stage = 0;
  std::optional<std::string> bolt{};
  bool operator==(const Place&) const = default;
};

// --- what was done

struct Reading {
  Place at{};
  std::optional<Quantity> value{};  ///< none for "done"
  std::optional<Quantity> also{};   ///< the companion
  std::string given{}, also_given{};
  bool no_turn = false;
  std::optional<std::int64_t> corrects{};  ///< the line that it voids
  std::optional<std::int64_t> restores{};  ///< the older line that it says again
  bool operator==(const Reading&) const = default;
};

struct Tick {
  Place at{};
  std::optional<std::int64_t> corrects{};
  bool operator==(const Tick&) const = default;
};

struct Count {
  Place at{};
  std::optional<double> value{};
  std::string given{};
  std::optional<std::int64_t> corrects{};
  bool operator==(const Count&) const = default;
};

struct Measure {
  Place at{};
  std::optional<Quantity> value{};
  std::string given{};
  std::optional<std::int64_t> corrects{};
  bool operator==(const Measure&) const = default;
};

// --- the pass

/// What the book keeps of a build when a pass of one of its operations begins.
struct Build {
  struct Operation {
    std::string name;
    std::vector<std::string> after{};  ///< operations that must be finished first
    bool operator==(const Operation&) const = default;
  };
  std::string title;                    ///< of the build; passes of one title belong together
  std::string file, sha256;             ///< of the build's text
  std::vector<Operation> operations{};  ///< all of them, in the order in which they can be done
  std::size_t steps = 0;                ///< of the whole operation: a narrower pass alone does not finish it
  bool operator==(const Build&) const = default;
};

struct Begun {
  std::int64_t pass = 0;
  std::string title, file{}, sha256{};
  bool trial = false;
  std::optional<std::string> only{};
  std::string program{}, schedule{};
  std::optional<std::string> tools{}, operation{};
  std::optional<Build> build{};
  bool operator==(const Begun&) const = default;
};

/// The resolved steps. The only mapping of them is plan::to_record and plan::from_record.
struct Planned {
  std::int64_t pass = 0;
  text::Json plan{};
  bool operator==(const Planned&) const = default;
};

struct Abandoned {
  std::int64_t pass = 0;
  bool operator==(const Abandoned&) const = default;
};

// --- what no tool said

struct Void {
  std::int64_t pass = 0;
  std::int64_t voids = -1;  ///< a line; -1 when the line does not say which
  bool operator==(const Void&) const = default;
};

/// The words stand among the remarks.
struct Note {
  std::int64_t pass = 0;
  bool operator==(const Note&) const = default;
};

struct Fitted {
  std::int64_t pass = 0;
  std::vector<std::string> bolts{};
  std::optional<std::int64_t> uses{};  ///< of the new pieces, before
  bool operator==(const Fitted&) const = default;
};

struct Removed {
  std::int64_t pass = 0;
  std::vector<std::string> bolts{};
  bool operator==(const Removed&) const = default;
};

struct Unsure {
  Place at{};
  bool operator==(const Unsure&) const = default;
};

struct Accepted {
  std::int64_t pass = 0;
  std::int64_t accepts = -1;  ///< a line
  bool operator==(const Accepted&) const = default;
};

/// A kind of a newer program: kept and reported, never appended.
struct Unknown {
  std::string kind;
  text::Json::Object members{};
  bool operator==(const Unknown&) const = default;
};

using Line = std::variant<Reading, Tick, Count, Measure, Box<Begun>, Box<Planned>, Void, Note, Fitted,
                          Removed, Unsure, Accepted, Abandoned, Unknown>;

/// "reading", "tick", ... as the line says.
[[nodiscard]] std::string_view kind_of(const Line& line);
/// The pass that the line belongs to; 0 for none.
[[nodiscard]] std::int64_t pass_of(const Line& line);
/// The place of an entry or a doubt; nullptr for other kinds.
[[nodiscard]] const Place* place_of(const Line& line);
/// The line that an entry voids.
[[nodiscard]] std::optional<std::int64_t> corrects(const Line& line);
/// Lets an entry void that line; other kinds stay as they are.
void set_corrects(Line& line, std::int64_t corrected);

/// Who said it, with what, and why. `rest`: members that this program does not know, or can't read, in order.
struct Remarks {
  std::optional<std::string> key{};    ///< the same call again answers with this line
  std::optional<std::string> typed{};  ///< digest of what the key stands for
  std::optional<std::string> tool{}, by{}, note{}, because{};
  bool because_first = false;  ///< the reason stands before the name, as older programs wrote some lines
  text::Json::Object rest{};
  bool operator==(const Remarks&) const = default;
};

/// 32 lower-case hexadecimal digits.
using Seal = std::array<char, 32>;
[[nodiscard]] inline std::string_view view(const Seal& seal) {
  return {seal.data(), seal.size()};
}

/// A line that is to be written.
struct Draft {
  Timestamp at;  ///< when it was taken
  Line line;
  Remarks remarks{};
};

/// One line that verifies, but for the first.
struct Event {
  std::int64_t seq = 0;   ///< the line's number from 0
  Timestamp written, at;  ///< the clock; when it was taken
  Line line{};
  Box<Remarks> remarks{};
  std::int64_t mends = 0;  ///< bytes of torn lines above it; 0: none
  Seal seal{};
  std::uint64_t offset = 0;  ///< where it stands in the file
  std::uint32_t length = 0;  ///< without its line feed

  [[nodiscard]] std::string_view kind() const { return kind_of(line); }
  [[nodiscard]] std::int64_t pass() const { return pass_of(line); }
};
// Books of a hundred thousand readings are kept in memory whole.
static_assert(sizeof(Event) <= 320);

/// Reads the members of a line whose seal holds: everything but `offset`, `length` and `seal`. `after` is
/// what the line says of the line above. False, with `why`, when it lacks what every line has.
[[nodiscard]] bool read_event(text::Json members, Event& out, std::string& after, std::string& why);

/// What the line says, without `after`, `seal` and the closing brace: `{"seq":1,"written":"...", ...`.
[[nodiscard]] std::string open_line(const Event& event);

}  // namespace clampbook::record
