#include <clampbook/joint/thread_table.h>
#include <clampbook/text/number.h>

#include <fmt/format.h>

namespace clampbook::joint {

namespace {

constexpr MetricRow kMetric[] = {
#include <clampbook/joint/data/metric_threads.inc>
};

constexpr UnifiedRow kUnified[] = {
#include <clampbook/joint/data/unified_threads.inc>
};

std::vector<std::string> list_designations() {
  std::vector<std::string> out;
  for (const MetricRow& row : kMetric) {
    const std::string size = fmt::format("M{}", text::shortest(row.diameter));
    if (row.coarse > 0) out.push_back(size);
    for (const double fine : row.fine) {
      if (fine > 0) out.push_back(fmt::format("{}x{}", size, text::shortest(fine)));
    }
  }
  for (const UnifiedRow& row : kUnified) {
    const auto add = [&](double threads, const char* series) {
      if (threads > 0) out.push_back(fmt::format("{}-{} {}", row.size, text::shortest(threads), series));
    };
    add(row.coarse, "UNC");
    add(row.fine, "UNF");
    add(row.extra_fine, "UNEF");
  }
  return out;
}

}  // namespace

std::span<const MetricRow> metric_table() {
  return kMetric;
}
std::span<const UnifiedRow> unified_table() {
  return kUnified;
}

const std::vector<std::string>& standard_threads() {
  static const std::vector<std::string> designations = list_designations();
  return designations;
}

}  // namespace clampbook::joint
