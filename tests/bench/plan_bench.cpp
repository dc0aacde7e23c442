// What a schedule of 20 000 bolts costs, read, planned and printed, beside yaml-cpp's own walk through the
// same text with a handler that does nothing. Prints one JSON object; exits 1 when a ratio is above its limit
// or the time grows faster than the bolts.
#include <clampbook/plan/cautions.h>
#include <clampbook/plan/plan.h>
#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/report/checklist.h>
#include <clampbook/schedule/read_schedule.h>

#include <fmt/format.h>
#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/parser.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <memory>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

using namespace clampbook;

namespace {

constexpr int kRuns = 9;
constexpr std::array kSizes{2'500, 5'000, 10'000, 20'000};
constexpr double kMostRatio = 4;
constexpr double kMostGrowth = 1.15;

struct Layout {
  std::string_view name;
  int rows_at_most;  // the other side grows with the bolts
};
constexpr std::array kLayouts{Layout{"grid", 100}, Layout{"two_rows", 2}};

std::string schedule_text(const Layout& layout, int bolts) {
  // A grid keeps its proportions as it grows: 100 rows of 200 at 20 000 bolts.
  const int rows = layout.rows_at_most == 2 ? 2 : static_cast<int>(std::lround(std::sqrt(bolts / 2.0)));
  const int columns = (bolts + rows - 1) / rows;
  std::string out =
      "format: fastener schedule 1\ntitle: Invented cover\nnotice: Invented data for practice.\n"
      "fasteners: {cover-bolt: {thread: M10, strength: \"10.9\"}}\norder: centre_out\nbolts:\n";
  for (int i = 0; i < bolts; ++i)
    out += fmt::format("  - {{id: {}, at: [{} mm, {} mm]}}\n", i + 1, i % columns * 40, i / columns * 60);
  return out + "stages:\n  - {snug: 8 N·m}\n  - {torque: 30 N·m}\n  - {angle: 60°, tolerance: 5°}\n";
}

struct Ignore : YAML::EventHandler {
  std::size_t events = 0;
  void OnDocumentStart(const YAML::Mark&) override { ++events; }
  void OnDocumentEnd() override { ++events; }
  void OnNull(const YAML::Mark&, YAML::anchor_t) override { ++events; }
  void OnAlias(const YAML::Mark&, YAML::anchor_t) override { ++events; }
  void OnScalar(const YAML::Mark&, const std::string&, YAML::anchor_t, const std::string&) override {
    ++events;
  }
  void OnSequenceStart(const YAML::Mark&, const std::string&, YAML::anchor_t,
                       YAML::EmitterStyle::value) override {
    ++events;
  }
  void OnSequenceEnd() override { ++events; }
  void OnMapStart(const YAML::Mark&, const std::string&, YAML::anchor_t, YAML::EmitterStyle::value) override {
    ++events;
  }
  void OnMapEnd() override { ++events; }
};

std::size_t walk(const std::string& text) {
  std::istringstream in(text);
  YAML::Parser parser(in);
  Ignore handler;
  while (parser.HandleNextDocument(handler)) {
  }
  return handler.events;
}

std::size_t print(const std::string& text, bool json) {
  const schedule::Schedule schedule =
      schedule::read_schedule(std::make_shared<const text::Source>("bench.yaml", text));
  plan::Plan plan = plan::make_plan(schedule, {});
  plan.cautions = plan::find_cautions(schedule, plan::predict(schedule));
  if (json) return plan::to_json_text(plan).size();
  return report::checklist(schedule, plan, report::TextStyle{}).size();
}

// Of the processor: the work is one thread without a file, and others' load is not its cost.
template <class Work>
double seconds(Work work) {
  const std::clock_t start = std::clock();
  volatile std::size_t result = work();
  static_cast<void>(result);
  return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

struct Times {
  double floor, text, json;       // the least of all runs
  double text_ratio, json_ratio;  // the median of the runs' own
};

// In turns, and each ratio within its turn, so that a busy machine bears on both of its sides.
Times measure(const std::string& text) {
  std::vector<double> floor, as_text, as_json, text_ratio, json_ratio;
  for (int run = 0; run < kRuns; ++run) {
    floor.push_back(seconds([&] { return walk(text); }));
    as_text.push_back(seconds([&] { return print(text, false); }));
    as_json.push_back(seconds([&] { return print(text, true); }));
    text_ratio.push_back(as_text.back() / floor.back());
    json_ratio.push_back(as_json.back() / floor.back());
  }
  const auto least = [](const std::vector<double>& values) {
    return *std::min_element(values.begin(), values.end());
  };
  return {least(floor), least(as_text), least(as_json), median(text_ratio), median(json_ratio)};
}

// The slope of log(time) over log(bolts), by least squares.
template <class Pick>
double growth(const std::vector<Times>& times, Pick pick) {
  double sx = 0, sy = 0, sxx = 0, sxy = 0;
  const auto n = static_cast<double>(times.size());
  for (std::size_t i = 0; i < times.size(); ++i) {
    const double x = std::log(kSizes[i]), y = std::log(pick(times[i]));
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
  }
  return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

}  // namespace

int main() {
  std::string out = fmt::format("{{\"name\":\"plan\",\"n\":{},\"runs\":{},\"limit\":{},\"growth_limit\":{}",
                                kSizes.back(), kRuns, kMostRatio, kMostGrowth);
  bool held = true;
  for (const Layout& layout : kLayouts) {
    std::vector<Times> times;
    for (const int bolts : kSizes) times.push_back(measure(schedule_text(layout, bolts)));
    const Times& last = times.back();
    const double text_growth = growth(times, [](const Times& t) { return t.text; });
    const double json_growth = growth(times, [](const Times& t) { return t.json; });
    held = held && last.text_ratio <= kMostRatio && last.json_ratio <= kMostRatio &&
           text_growth <= kMostGrowth && json_growth <= kMostGrowth;
    out += fmt::format(
        ",\"{}\":{{\"floor_s\":{:.4f},\"text_s\":{:.4f},\"json_s\":{:.4f},\"text_ratio\":{:.2f},\"json_"
        "ratio\":{:.2f},"
        "\"text_growth\":{:.2f},\"json_growth\":{:.2f}}}",
        layout.name, last.floor, last.text, last.json, last.text_ratio, last.json_ratio, text_growth,
        json_growth);
  }
  fmt::print("{}}}\n", out);
  return held ? EXIT_SUCCESS : EXIT_FAILURE;
}
