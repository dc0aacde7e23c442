// What the book costs. One entry beside the bare calls that it can't do without (open, read, one write, one
// sync); reading beside hashing and SAX-parsing the same bytes once; a check of 100 000 readings beside the
// same; and the cost of `log` against the length of the book. Prints one JSON object; exits 1 when a limit is
// passed.
//
// usage: append_bench [FOLDER]     where the books lie (default: where temporary files go)
#include <clampbook/plan/plan_json.h>
#include <clampbook/record/book_file.h>
#include <clampbook/review/finding.h>
#include <clampbook/schedule/read_schedule.h>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <fcntl.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

#include <sha2.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>
#include <string>
#include <vector>

using namespace clampbook;

namespace {

constexpr int kAppends = 400, kRuns = 7;
constexpr int kFresh = 40;  // entries until both sides start again with a small book
constexpr std::array kReadings{12'500, 25'000, 50'000, 100'000};
constexpr int kStages = 5;
constexpr double kMostAppend = 1.3, kMostRead = 1.5, kMostCheck = 2, kMostLog = 1.8, kMostGrowth = 1.15;

const record::Timestamp kNow = *record::parse_timestamp("2026-05-04T09:30:00.000+02:00");

record::NewEvent reading(int step, int stage, const std::string& bolt) {
  return {kNow,
          "reading",
          {{"pass", 1},
           {"step", step},
           {"stage", stage},
           {"bolt", bolt},
           {"value_Nm", 30.25},
           {"given", "30.25Nm"},
           {"by", "Maren"}}};
}

// A pass over so many bolts that each of the readings has a step of its own; all are taken.
void write_book(const std::string& path, int readings) {
  const int bolts = readings / kStages;
  std::string text =
      "format: fastener schedule 1\ntitle: Bench\nfasteners: {b: {thread: M10, strength: \"10.9\"}}\norder: "
      "listed\nbolts:\n";
  for (int i = 1; i <= bolts; ++i) text += fmt::format("  - {{id: {}}}\n", i);
  text += "stages:\n";
  for (int i = 0; i < kStages; ++i) text += "  - {torque: 30 N·m}\n";
  const auto source = std::make_shared<const text::Source>("bench.yaml", text);
  const plan::Plan plan = plan::make_plan(schedule::read_schedule(source), {});
  std::vector<record::NewEvent> events(2);
  events[0] = {kNow, "begun", {{"pass", 1}, {"title", "Bench"}, {"schedule", text}}};
  events[1] = {kNow, "planned", {{"pass", 1}, {"plan", plan::to_record(plan)}}};
  for (const plan::Step& step : plan.steps) events.push_back(reading(step.step, step.stage, *step.bolt));
  std::filesystem::remove(path);
  record::BookFile(path, record::BookFile::Missing::create).append(events, kNow);
}

std::string content(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

[[noreturn]] void give_up(const char* what) {
  fmt::print(stderr, "{} failed\n", what);
  std::exit(2);
}

// The calls of one entry, and nothing else.
void bare_append(const std::string& path, const std::string& line) {
  const int fd = ::open(path.c_str(), O_RDWR | O_APPEND | O_CLOEXEC);
  struct stat about {};
  if (fd < 0 || ::fstat(fd, &about) != 0) give_up("open");
  std::string bytes(static_cast<std::size_t>(about.st_size), '\0');
  if (::pread(fd, bytes.data(), bytes.size(), 0) != about.st_size) give_up("read");
  if (::write(fd, line.data(), line.size()) != static_cast<ssize_t>(line.size())) give_up("write");
  if (::fdatasync(fd) != 0) give_up("fdatasync");
  ::close(fd);
}

class Ignore : public nlohmann::json_sax<nlohmann::json> {
 public:
  std::size_t values = 0;

  bool null() override { return ++values > 0; }
  bool boolean(bool) override { return ++values > 0; }
  bool number_integer(number_integer_t) override { return ++values > 0; }
  bool number_unsigned(number_unsigned_t) override { return ++values > 0; }
  bool number_float(number_float_t, const string_t&) override { return ++values > 0; }
  bool string(string_t&) override { return ++values > 0; }
  bool binary(binary_t&) override { return false; }
  bool start_object(std::size_t) override { return true; }
  bool key(string_t&) override { return true; }
  bool end_object() override { return true; }
  bool start_array(std::size_t) override { return true; }
  bool end_array() override { return true; }
  bool parse_error(std::size_t, const std::string&, const nlohmann::json::exception&) override {
    return false;
  }
};

// Hashes and parses each line once, and keeps nothing.
std::size_t hash_and_parse(const std::string& bytes) {
  SHA2_CTX context;
  SHA256Init(&context);
  SHA256Update(&context, reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
  std::array<char, SHA256_DIGEST_STRING_LENGTH> digits{};
  SHA256End(&context, digits.data());
  Ignore handler;
  for (auto at = bytes.begin(); at != bytes.end();) {
    const auto end = std::find(at, bytes.end(), '\n');
    if (!nlohmann::json::sax_parse(at, end, &handler)) give_up("parsing");
    at = end + 1;
  }
  return handler.values + static_cast<std::size_t>(digits[0]);
}

std::size_t check(const std::string& bytes) {
  const record::Book book = record::parse_book(bytes, "bench");
  const std::vector<review::Pass> passes = review::read_passes(book);
  return review::find_findings(book, passes, passes.back(), review::Until::finished).size() + passes.size();
}

// What `log` does between the start of the program and its answer.
std::size_t log_one(const std::string& path) {
  record::BookFile file(path, record::BookFile::Missing::refuse);
  std::vector<review::Pass> passes = review::read_passes(file.book());
  const std::size_t before =
      review::find_findings(file.book(), passes, passes.back(), review::Until::at_once).size();
  file.append({reading(1, 1, "1")}, kNow);
  review::apply(passes.back(), file.book().events.back());
  return before + review::find_findings(file.book(), passes, passes.back(), review::Until::at_once).size();
}

template <class Work>
double wall(Work work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

// Of the processor: others' load is not its cost.
template <class Work>
double busy(Work work) {
  const std::clock_t start = std::clock();
  volatile std::size_t result = work();
  static_cast<void>(result);
  return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

struct Appends {
  double floor, entry;
};

Appends measure_appends(const std::filesystem::path& folder) {
  const std::string ours = (folder / "ours.book").string(), bare = (folder / "bare.book").string();
  const std::string small = (folder / "small.book").string();
  write_book(small, kStages);
  const std::string line = content(small).substr(content(small).rfind('\n', content(small).size() - 2) + 1);
  std::vector<double> floor, entry;
  for (int i = 0; i < kAppends; ++i) {
    if (i % kFresh == 0) {
      std::filesystem::copy_file(small, ours, std::filesystem::copy_options::overwrite_existing);
      std::filesystem::copy_file(small, bare, std::filesystem::copy_options::overwrite_existing);
    }
    floor.push_back(wall([&] { bare_append(bare, line); }));
    entry.push_back(wall([&] {
      record::BookFile(ours, record::BookFile::Missing::refuse).append({reading(1, 1, "1")}, kNow);
    }));
  }
  return {median(floor), median(entry)};
}

struct Lengths {
  double floor, read_ratio, check_ratio, log_ratio, log_s;
};

// In turns, and each ratio within its turn.
Lengths measure_length(const std::string& path, int readings) {
  write_book(path, readings);
  const std::string bytes = content(path);
  std::vector<double> floor, read, checked, logged, log_ratio;
  for (int run = 0; run < kRuns; ++run) {
    floor.push_back(busy([&] { return hash_and_parse(bytes); }));
    read.push_back(busy([&] { return record::parse_book(bytes, "bench").events.size(); }) / floor.back());
    checked.push_back(busy([&] { return check(bytes); }) / floor.back());
    logged.push_back(busy([&] { return log_one(path); }));
    log_ratio.push_back(logged.back() / floor.back());
  }
  return {median(floor), median(read), median(checked), median(log_ratio), median(logged)};
}

// The slope of log(time) over log(readings), by least squares.
double growth(const std::vector<Lengths>& lengths) {
  double sx = 0, sy = 0, sxx = 0, sxy = 0;
  const auto n = static_cast<double>(lengths.size());
  for (std::size_t i = 0; i < lengths.size(); ++i) {
    const double x = std::log(kReadings[i]), y = std::log(lengths[i].log_s);
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
  }
  return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

}  // namespace

int main(int argc, char** argv) {
  const std::filesystem::path parent = argc > 1 ? argv[1] : std::filesystem::temp_directory_path();
  const std::filesystem::path folder = parent / fmt::format("clampbook-bench-{}", ::getpid());
  std::filesystem::create_directories(folder);
  const Appends appends = measure_appends(folder);
  std::vector<Lengths> lengths;
  for (const int readings : kReadings)
    lengths.push_back(measure_length((folder / "long.book").string(), readings));
  std::filesystem::remove_all(folder);

  const Lengths& last = lengths.back();
  const double append_ratio = appends.entry / appends.floor, log_growth = growth(lengths);
  const bool held = append_ratio <= kMostAppend && last.read_ratio <= kMostRead &&
                    last.check_ratio <= kMostCheck && last.log_ratio <= kMostLog && log_growth <= kMostGrowth;
  fmt::print(
      "{{\"name\":\"append\",\"appends\":{},\"floor_ms\":{:.3f},\"append_ms\":{:.3f},\"append_ratio\":{:.2f},"
      "\"append_limit\":{},"
      "\"n\":{},\"runs\":{},\"floor_s\":{:.3f},\"read_ratio\":{:.2f},\"read_limit\":{},\"check_ratio\":{:.2f}"
      ",\"check_limit\":{},"
      "\"log_s\":{:.3f},\"log_ratio\":{:.2f},\"log_limit\":{},\"log_growth\":{:.2f},\"growth_limit\":{}}}\n",
      kAppends, appends.floor * 1e3, appends.entry * 1e3, append_ratio, kMostAppend, kReadings.back(), kRuns,
      last.floor, last.read_ratio, kMostRead, last.check_ratio, kMostCheck, last.log_s, last.log_ratio,
      kMostLog, log_growth, kMostGrowth);
  return held ? EXIT_SUCCESS : EXIT_FAILURE;
}
