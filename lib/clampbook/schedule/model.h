// A schedule as its author meant it: every figure with its unit, every name resolved, nothing computed.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/schedule/stage_kind.h>
#include <clampbook/schedule/target.h>
#include <clampbook/text/source.h>
#include <clampbook/units/format.h>
#include <clampbook/units/measured.h>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::schedule {

/// The largest schedule, build or tool list that is read: 4 MiB, in bytes.
inline constexpr std::size_t kLargestFile = std::size_t{4} << 20;

using units::Measured;

/// How much a figure's origin is worth.
enum class Standing { maker, standard, measured, hearsay };
[[nodiscard]] std::string_view name(Standing standing);

struct SourceNote {
  std::string name;
  std::string text;
  Standing standing;
};

/// A named class ("10.9", "SAE 8") or figures of its own.
struct Strength {
  std::string designation{};  ///< empty for own figures
  struct Own {
    Measured yield, tensile;
    Measured elongation;  ///< a ratio
    Standing standing;
  };
  std::optional<Own> own{};
  [[nodiscard]] std::string text() const;
};

enum class HeadKind { hexagon, socket, bearing };
struct Head {
  HeadKind kind = HeadKind::hexagon;
  std::optional<Measured> bearing{};  ///< outer diameter of the seat, for HeadKind::bearing
};

struct Washer {
  Measured outer;
  Measured thickness;
  bool hard = false;
};

/// A plain part inside the grip; without a diameter it has the thread's.
struct ShankPiece {
  Measured length;
  std::optional<Measured> diameter{};
};

enum class ReuseKind { unsaid, never, unlimited, times, growth_below };
[[nodiscard]] std::string_view name(ReuseKind kind);
struct Reuse {
  ReuseKind kind = ReuseKind::unsaid;
  std::int64_t times = 0;  ///< tightened at most so often
  std::optional<Measured> growth{};
};

struct Layer {
  std::string material{};  ///< empty when a modulus was given
  std::optional<Measured> modulus{};
  Measured thickness;
  std::optional<Measured> outer{};
};

struct Into {
  std::string material{};
  std::optional<Measured> modulus{};
  bool nut = false;  ///< a nut, else a tapped hole
};

struct Joint {
  std::vector<Layer> layers{};
  std::optional<Into> into{};
};

/// One friction figure: its 5 % and 95 % points and the value that was meant.
struct FrictionRange {
  double low, high, nominal;
};

struct Lubricant {
  std::string name{};                             ///< a name of the table, else empty
  std::optional<FrictionRange> thread{}, seat{};  ///< both (of a name: the table's), or
  std::optional<FrictionRange> nut_factor{};      ///< this alone
  std::string given{};                            ///< as typed, for people
};

struct Lubrication {
  std::optional<Lubricant> stated{};  ///< what the figures assume
  std::optional<Lubricant> used{};    ///< what is on the bolts
};

struct Fastener {
  std::string name;
  text::Location at;
  std::string thread;  ///< designation as typed
  Strength strength;
  Head head;
  bool nut_turned = false;
  std::optional<Measured> hole{};
  std::optional<Washer> washer{};
  std::optional<Measured> grip{};
  std::vector<ShankPiece> shank{};
  std::optional<Measured> engagement{}, length{}, hole_depth{}, prevailing_torque{};
  Reuse reuse;
  std::string treated{};
  std::optional<Joint> joint{};            ///< its own, else the schedule's
  std::optional<Lubrication> lubricant{};  ///< its own, else the schedule's
};

struct Bolt {
  std::string id;
  std::optional<Measured> x{}, y{};
  std::size_t fastener = 0;  ///< index in Schedule::fasteners
  std::string group{};       ///< empty when there are none
};

enum class OrderKind { listed, centre_out, star, circle, explicit_list };
struct OrderRule {
  OrderKind kind = OrderKind::listed;
  bool reverse = false;
  std::vector<std::size_t> bolts{};  ///< for explicit_list: indices in Schedule::bolts
  [[nodiscard]] std::string text() const;
};

/// What one source says of a stage's figure (`says:`), where the sources differ.
struct Saying {
  std::string source;
  Target figure;
};

/// The bolts and the lubricant that a figure was written for.
struct WrittenFor {
  std::optional<std::string> thread{}, strength{}, lubricant{};
};

struct Stage {
  int number = 0;  ///< from 1, gates too
  StageKind kind = StageKind::act;
  std::string name{};        ///< as given, else empty
  text::Location at;         ///< its action's key
  text::Location figure_at;  ///< its figure

  // On bolts
  std::vector<std::size_t> bolts{};  ///< indices in Schedule::bolts, in list order
  bool all_bolts = true;
  std::string bolts_given{};       ///< the group or list as typed
  std::optional<Target> target{};  ///< none: by hand, fully, same, a yield share
  std::optional<Tolerance> tolerance{};
  std::optional<double> yield_share{};
  bool same_torque = false;  ///< recheck: same
  std::optional<OrderRule> order{};
  bool reverse = false;
  std::optional<Target> final_torque{};
  std::vector<std::string> sources{};  ///< names in Schedule::sources
  std::vector<Saying> says{};
  std::optional<WrittenFor> written_for{};

  // Gates
  std::string text{};
  std::optional<std::int64_t> expect{};
  std::optional<Measured> low{}, high{};  ///< bounds of a measurement
  std::optional<Measured> wait{};
  bool each_bolt = false;
  std::vector<std::string> each{};  ///< labels
};

enum class Completion { joint, group };  ///< `by:`

struct Schedule {
  text::SourcePtr source;
  std::string title, machine{}, notice{}, view{};
  std::vector<SourceNote> sources{};
  std::vector<Fastener> fasteners{};
  std::optional<Joint> joint{};
  std::optional<Lubrication> lubricant{};
  std::vector<Bolt> bolts{};
  OrderRule order{};
  Completion by = Completion::joint;
  std::vector<Stage> stages{};

  [[nodiscard]] const SourceNote* find_source(std::string_view name) const;
  [[nodiscard]] const Lubrication* lubrication(const Fastener& fastener) const;
  [[nodiscard]] const Joint* joint_of(const Fastener& fastener) const;
  [[nodiscard]] bool has_positions() const { return !bolts.empty() && bolts.front().x.has_value(); }
  /// The last torque stage of the bolt (its place in `bolts`) before `stage`, which is one of `stages`; or
  /// nullptr.
  [[nodiscard]] const Stage* torque_stage_before(const Stage& stage, std::size_t bolt) const;
  /// Group names in the order in which the bolts name them.
  [[nodiscard]] std::vector<std::string> groups() const;
  /// The unit system of most of its torques; without one, of its first thread.
  [[nodiscard]] units::System written_in() const;
};

inline constexpr std::size_t kMostBolts = 20000;
inline constexpr std::size_t kMostStages = 200;
inline constexpr std::size_t kMostSteps = 200000;

}  // namespace clampbook::schedule
