// What a record costs as a page: one of 20 bolts and 300 lines, and how time and size grow up to 20 000
// bolts. Prints one JSON object; exits 1 when a page is too large or the growth is more than linear. Seconds
// are only reported, but for the growth.
#include <clampbook/plan/plan_json.h>
#include <clampbook/record/book.h>
#include <clampbook/record/seal.h>
#include <clampbook/report/record_csv.h>
#include <clampbook/report/record_page.h>
#include <clampbook/report/sheet.h>
#include <clampbook/schedule/read_schedule.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <memory>
#include <string>
#include <vector>

using namespace clampbook;

namespace {

constexpr int kRuns = 5;
constexpr std::array kSizes{2'500, 5'000, 10'000, 20'000};
constexpr std::size_t kSmallPage = 250'000, kLargePage = 20'000'000;  // bytes
constexpr double kMostGrowth = 1.2;

std::string schedule_text(int bolts, int torques) {
  std::string out =
      "format: fastener schedule 1\ntitle: Invented cover\nnotice: Invented data for practice.\n"
      "fasteners: {cover-bolt: {thread: M10, strength: \"10.9\"}}\norder: centre_out\nbolts:\n";
  const int columns = std::max(2, static_cast<int>(std::lround(std::sqrt(bolts * 2))));
  for (int i = 0; i < bolts; ++i)
    out += fmt::format("  - {{id: {}, at: [{} mm, {} mm]}}\n", i + 1, i % columns * 40, i / columns * 60);
  out += "stages:\n";
  for (int i = 1; i <= torques; ++i) out += fmt::format("  - {{torque: {} N·m}}\n", 4 * i);
  return out + "  - {angle: 60°, tolerance: 5°}\n";
}

void append_line(std::string& book, std::string& seal, std::int64_t seq, const std::string& members) {
  const std::string line =
      record::sealed(fmt::format("{{\"seq\":{},\"written\":\"2026-05-04T09:30:00.000+00:00\",\"at\":\"2026-"
                                 "05-04T09:30:00.000+00:00\",{},"
                                 "\"after\":\"{}\"",
                                 seq, members, seal));
  seal = std::string(*record::verified_seal(line));
  book += line + "\n";
}

// Every bolt read at every stage, as log writes it.
std::string book_text(const std::string& schedule) {
  const plan::Plan plan = plan::make_plan(
      schedule::read_schedule(std::make_shared<const text::Source>("bench.yaml", schedule)), {});
  std::string book = record::sealed(
      "{\"format\":\"clampbook book "
      "1\",\"seq\":0,\"id\":\"bench\",\"written\":\"2026-05-04T09:30:00.000+00:00\","
      "\"after\":\"\"");
  std::string seal(*record::verified_seal(book));
  book += "\n";
  std::string text;
  text::append_json_string(text, schedule);
  append_line(
      book, seal, 1,
      fmt::format("\"kind\":\"begun\",\"pass\":1,\"title\":\"Invented cover\",\"file\":\"bench.yaml\","
                  "\"sha256\":\"{}\",\"trial\":false,\"program\":\"bench\",\"schedule\":{}",
                  record::sha256(schedule), text));
  append_line(book, seal, 2,
              fmt::format("\"kind\":\"planned\",\"pass\":1,\"plan\":{}", plan::to_record(plan).dump()));
  std::int64_t seq = 3;
  for (const plan::Step& step : plan.steps) {
    const bool angle = step.kind == plan::StageKind::angle;
    append_line(
        book, seal, seq++,
        fmt::format("\"kind\":\"reading\",\"pass\":1,\"step\":{},\"stage\":{},\"bolt\":\"{}\",\"{}\":{:.1f},"
                    "\"given\":\"{:.1f} {}\"",
                    step.step, step.stage, *step.bolt, angle ? "value_deg" : "value_Nm",
                    step.target->machine_value(), step.target->machine_value(), angle ? "deg" : "Nm"));
  }
  return book;
}

struct Cost {
  double html_s, csv_s, sheet_s;
  std::size_t html_bytes, sheet_bytes;
  std::size_t lines;
};

template <class Work>
double seconds(Work work) {
  const std::clock_t start = std::clock();
  work();
  return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

// The least of all runs; reading the book is not part of it.
Cost measure(int bolts, int torques) {
  const std::string schedule_words = schedule_text(bolts, torques), bytes = book_text(schedule_words);
  const record::Book book = record::parse_book(bytes, "bench.book");
  const std::vector<review::Pass> passes = review::read_passes(book);
  const std::vector<review::Finding> findings =
      review::find_findings(book, passes, passes.front(), review::Until::finished);
  const std::string name = "bench.book";
  const report::Record record{name, book, passes, passes.front(), findings};
  const schedule::Schedule schedule =
      schedule::read_schedule(std::make_shared<const text::Source>("bench.yaml", schedule_words));
  Cost out{1e9, 1e9, 1e9, 0, 0, book.events.size()};
  for (int run = 0; run < kRuns; ++run) {
    out.html_s =
        std::min(out.html_s, seconds([&] { out.html_bytes = report::record_page(record, {}).size(); }));
    std::size_t csv = 0;
    out.csv_s = std::min(out.csv_s, seconds([&] { csv = report::record_csv(record).size(); }));
    if (csv == 0) std::abort();
    out.sheet_s = std::min(
        out.sheet_s, seconds([&] {
          out.sheet_bytes = report::sheet("bench", {{schedule, passes.front().plan, "0"}}, {}).html.size();
        }));
  }
  return out;
}

// The slope of log(time) over log(bolts), by least squares.
template <class Pick>
double growth(const std::vector<Cost>& costs, Pick pick) {
  double sx = 0, sy = 0, sxx = 0, sxy = 0;
  const auto n = static_cast<double>(costs.size());
  for (std::size_t i = 0; i < costs.size(); ++i) {
    const double x = std::log(kSizes[i]), y = std::log(pick(costs[i]));
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
  }
  return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

}  // namespace

int main() {
  const Cost small = measure(20, 14);
  std::vector<Cost> costs;
  for (const int bolts : kSizes) costs.push_back(measure(bolts, 2));
  const double html = growth(costs, [](const Cost& c) { return c.html_s; });
  const double csv = growth(costs, [](const Cost& c) { return c.csv_s; });
  const double sheet = growth(costs, [](const Cost& c) { return c.sheet_s; });
  const Cost& last = costs.back();
  fmt::print(
      "{{\"name\":\"report\",\"runs\":{},\"small\":{{\"bolts\":20,\"lines\":{},\"html_bytes\":{},\"html_s\":{"
      ":.4f},"
      "\"limit_bytes\":{}}},\"large\":{{\"bolts\":{},\"lines\":{},\"html_bytes\":{},\"html_s\":{:.3f},\"csv_"
      "s\":{:.3f},"
      "\"sheet_bytes\":{},\"sheet_s\":{:.3f},\"limit_bytes\":{}}},\"html_growth\":{:.2f},\"csv_growth\":{:."
      "2f},"
      "\"sheet_growth\":{:.2f},\"growth_limit\":{}}}\n",
      kRuns, small.lines, small.html_bytes, small.html_s, kSmallPage, kSizes.back(), last.lines,
      last.html_bytes, last.html_s, last.csv_s, last.sheet_bytes, last.sheet_s, kLargePage, html, csv, sheet,
      kMostGrowth);
  const bool held = small.html_bytes <= kSmallPage && last.html_bytes <= kLargePage && html <= kMostGrowth &&
                    csv <= kMostGrowth && sheet <= kMostGrowth;
  return held ? EXIT_SUCCESS : EXIT_FAILURE;
}
