// What stood when an entry came: the steps that were filled, the last reading, the turns of its bolt. Rules
// about the order of the entries judge by this alone. Only this room includes it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/review/pass.h>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <unordered_map>
#include <vector>

namespace clampbook::review {

struct Turned {
  int times = 0;
  double degrees = 0;
  bool operator==(const Turned&) const = default;
};

/// Entries by their position in the pass.
struct Arrival {
  enum class Place : std::uint8_t {
    none,       ///< it does not count, or the plan has no such step
    own,        ///< it was followed as it came; `entry` is the one that stands in its place
    corrected,  ///< it stands in the place of the one that it corrects
  };
  Place place = Place::none;
  std::size_t entry = 0;                ///< itself, or the latest that corrects it
  std::optional<std::size_t> before{};  ///< the entry that stood at the step
  /// The highest step that was filled: of all when it came to an open step (of a refitted bolt: of its own),
  /// of the bolt when it corrects another. 0: none.
  int highest = 0;
  int without = 0;  ///< of an angle: the bolt's torque stage before it that was not read; 0: none
  Turned turned{};  ///< of an angle: the turns read at its step before it
  std::optional<std::int64_t> since_reading{};  ///< of a wait: ms since the last reading
  bool operator==(const Arrival&) const = default;
};

/// The turn that an entry tells, or nothing.
[[nodiscard]] std::optional<double> degrees_of(const Step& step, const Entry& entry);
/// The turns at the step with those of `entry`, which came as `arrival` says.
[[nodiscard]] Turned turns_with(const Arrival& arrival, const Step& step, const Entry& entry);

/// One for each entry of a pass. Kept while the pass grows: an entry costs what it names.
class Arrivals {
 public:
  [[nodiscard]] const std::vector<Arrival>& all() const { return all_; }

  /// From the first entry on.
  void follow_all(const Pass& pass);
  /// Takes the last entry of the pass. False when it changed what came before; then follow_all() is due.
  [[nodiscard]] bool take_entry(const Pass& pass);
  /// Takes the last fittings, of these bolts. False as above.
  [[nodiscard]] bool take_fittings(const Pass& pass, const std::vector<std::string>& bolts);
  /// Takes that a line was voided. False as above.
  [[nodiscard]] bool take_void(const Pass& pass, std::int64_t line) const;

 private:
  void follow(const Pass& pass, std::size_t came, std::size_t entry);
  void correct(const Pass& pass, std::size_t came);
  [[nodiscard]] bool correct_in_place(const Pass& pass, std::size_t first, std::size_t corrected);
  void fit_before(const Pass& pass, std::int64_t seq);
  [[nodiscard]] int highest_before(const Pass& pass, const Step& step) const;

  std::vector<Arrival> all_{};
  // As it is behind the last entry:
  Standing standing_{};
  std::size_t next_fitting_ = 0;
  std::set<std::string> refitted_{};
  std::unordered_map<int, Turned> turned_{};  // of the piece that sits there, by the number of the angle step
  std::optional<record::Timestamp> last_reading_{};
};

}  // namespace clampbook::review
