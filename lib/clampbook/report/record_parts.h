// What the sections of a record's page have in common. Only this room includes it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/prepare.h>
#include <clampbook/report/record_page.h>

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace clampbook::report {

/// Everything that is looked up more than once.
struct RecordParts {
  RecordParts(const Record& r, const std::vector<review::BoltState>& s, const TextStyle& t);

  const Record& record;
  const std::vector<review::BoltState>& states;
  const TextStyle& style;
  review::Progress progress;
  std::vector<BoltMark> marks;                            ///< by position of the bolt in the plan
  std::map<int, std::vector<const plan::Step*>> steps{};  ///< by stage
  std::optional<schedule::Schedule> schedule{};           ///< nothing when its text can't be read
  std::vector<plan::FastenerPrediction> predictions{};
  std::vector<plan::Caution> cautions{};
  bool large = false;  ///< so many bolts that each gets few words

  [[nodiscard]] const review::Pass& pass() const { return record.pass; }
};

/// "2026-05-04 09:30:12 +02:00", or in UTC.
[[nodiscard]] std::string moment(record::Timestamp at, bool utc);
/// What stands at a gate or bolt: "30.1 N·m (22.2 ft·lbf), also 61 N·m", "4", "done".
[[nodiscard]] std::string entry_words(const review::Entry& entry, const TextStyle& style, bool short_words);
/// "28.8..31.2 N·m", "at most 2.5 N·m"; empty without bounds.
[[nodiscard]] std::string window_words(const plan::Step& step, const TextStyle& style, bool short_words);

// The sections, each from its heading on; those with nothing to say are empty.
[[nodiscard]] std::string summary_section(const RecordParts& parts);
[[nodiscard]] std::string findings_section(const RecordParts& parts);
[[nodiscard]] std::string bolts_section(const RecordParts& parts);
[[nodiscard]] std::string stages_section(const RecordParts& parts);
[[nodiscard]] std::string lines_section(const RecordParts& parts);
[[nodiscard]] std::string pieces_section(const RecordParts& parts);
[[nodiscard]] std::string tools_section(const RecordParts& parts);
[[nodiscard]] std::string plan_section(const RecordParts& parts);
[[nodiscard]] std::string seal_section(const RecordParts& parts);

}  // namespace clampbook::report
