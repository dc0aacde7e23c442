#include "tests/bench/bench.h"

#include <fmt/format.h>

#include <fcntl.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>

namespace bench {

namespace {

constexpr int kQuickTurns = 2;
constexpr std::size_t kKibibyte = 1024;

double seconds_of(clockid_t clock) {
  struct timespec now {};
  clock_gettime(clock, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

double timed(clockid_t clock, const Work& work) {
  const double start = seconds_of(clock);
  volatile double result = work();
  static_cast<void>(result);
  return seconds_of(clock) - start;
}

// Starts the words; what they print goes to `output`.
pid_t start(const std::vector<std::string>& words, const std::string& input, int output) {
  std::vector<char*> arguments;
  for (const std::string& word : words)
    arguments.push_back(const_cast<char*>(word.c_str()));  // NOLINT: as execv wants it
  arguments.push_back(nullptr);
  const pid_t child = fork();
  if (child < 0) give_up("fork");
  if (child == 0) {
    const int in = open(input.c_str(), O_RDONLY | O_CLOEXEC);
    if (in < 0 || dup2(in, STDIN_FILENO) < 0 || dup2(output, STDOUT_FILENO) < 0) _exit(127);
    execv(arguments.front(), arguments.data());
    _exit(127);
  }
  return child;
}

void wait_for(pid_t child, const std::string& name) {
  int status = -1;
  if (waitpid(child, &status, 0) != child || !WIFEXITED(status) || WEXITSTATUS(status) > 1) give_up(name);
}

std::string json(const std::optional<double>& value) {
  return value ? fmt::format("{:.6g}", *value) : "null";
}

struct Held {
  const char* key;
  std::optional<double> value, limit;
};

std::array<Held, 4> held(const Row& row) {
  const auto bytes = row.bytes ? std::optional(static_cast<double>(*row.bytes)) : std::nullopt;
  return {Held{"ratio", row.times.ratio, row.limits.ratio}, Held{"growth", row.growth, row.limits.growth},
          Held{"ours_s", row.times.ours, row.limits.ours_s}, Held{"bytes", bytes, row.limits.bytes}};
}

}  // namespace

int Options::turns(int full) const {
  return quick ? std::min(full, kQuickTurns) : full;
}

Options read_options(int argc, char** argv) {
  Options out;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--quick") {
      out.quick = true;
    } else if (word.starts_with("-")) {
      give_up("there is no option " + word + ", so reading the options");
    } else {
      out.operands.push_back(word);
    }
  }
  return out;
}

void give_up(const std::string& what) {
  fmt::print(stderr, "{} failed\n", what);
  std::exit(2);
}

double wall(const Work& work) {
  return timed(CLOCK_MONOTONIC, work);
}

double busy(const Work& work) {
  return timed(CLOCK_PROCESS_CPUTIME_ID, work);
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

std::vector<Times> in_turns(int turns, Clock clock, const Work& floor, const std::vector<Work>& ours) {
  std::vector<double> floors;
  std::vector<std::vector<double>> times(ours.size()), ratios(ours.size());
  for (int turn = 0; turn < turns; ++turn) {
    floors.push_back(clock(floor));
    for (std::size_t i = 0; i < ours.size(); ++i) {
      times[i].push_back(clock(ours[i]));
      ratios[i].push_back(times[i].back() / floors.back());
    }
  }
  std::vector<Times> out;
  for (std::size_t i = 0; i < ours.size(); ++i)
    out.push_back({median(times[i]), median(floors), median(ratios[i]),
                   *std::min_element(times[i].begin(), times[i].end())});
  return out;
}

double growth(const std::vector<std::pair<double, double>>& size_and_seconds) {
  double sx = 0, sy = 0, sxx = 0, sxy = 0;
  const auto n = static_cast<double>(size_and_seconds.size());
  for (const auto& [size, seconds] : size_and_seconds) {
    const double x = std::log(size), y = std::log(seconds);
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
  }
  return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

int print(const std::string& name, const Options& options, int turns, const std::vector<Row>& rows) {
  bool above = false;
  std::string out;
  for (const Row& row : rows) {
    std::string limits;
    for (const Held& h : held(row)) {
      if (!h.limit) continue;
      limits += fmt::format("{}\"{}\":{}", limits.empty() ? "" : ",", h.key, json(h.limit));
      // A value that is missing or no number holds no limit.
      above = above || !h.value || !(*h.value <= *h.limit);
    }
    out += fmt::format(
        "{}{{\"work\":\"{}\",\"size\":{},\"of\":\"{}\",\"ours_s\":{:.6g},\"floor_s\":{:.6g},\"ratio\":{:.6g},"
        "\"growth\":{},\"peak_bytes\":{},\"bytes\":{},\"limits\":{{{}}}}}",
        out.empty() ? "" : ",", row.work, row.size, row.of, row.times.ours, row.times.floor, row.times.ratio,
        json(row.growth), row.peak_bytes, row.bytes ? std::to_string(*row.bytes) : "null", limits);
  }
  fmt::print("{{\"bench\":\"{}\",\"turns\":{},\"quick\":{},\"rows\":[{}]}}\n", name, turns, options.quick,
             out);
  return above ? EXIT_FAILURE : EXIT_SUCCESS;
}

std::string program() {
  return CLAMPBOOK_PROGRAM;
}

void run(const std::vector<std::string>& words, const std::string& input) {
  static const int kNowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
  wait_for(start(words, input, kNowhere), words.front());
}

std::size_t peak_bytes(const std::vector<std::string>& words, const std::string& input) {
  std::array<int, 2> ends{};
  if (pipe2(ends.data(), O_CLOEXEC) != 0) give_up("pipe");
  std::vector<std::string> all{CLAMPBOOK_BENCH_PEAK};
  all.insert(all.end(), words.begin(), words.end());
  const pid_t child = start(all, input, ends[1]);
  close(ends[1]);
  std::array<char, 32> digits{};
  const ssize_t n = read(ends[0], digits.data(), digits.size() - 1);
  close(ends[0]);
  wait_for(child, words.front());
  const std::size_t kibibytes = n > 0 ? std::strtoul(digits.data(), nullptr, 10) : 0;
  if (kibibytes == 0) give_up("measuring memory");
  return kibibytes * kKibibyte;
}

Folder::Folder(const std::filesystem::path& parent)
    : path_(parent / fmt::format("clampbook-bench-{}", ::getpid())) {
  std::filesystem::create_directories(path_);
}

Folder::~Folder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::string Folder::write(const std::string& name, const std::string& content) const {
  std::ofstream out(path(name), std::ios::binary);
  out << content;
  out.close();
  if (!out) give_up("writing " + path(name));
  return path(name);
}

std::string content(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace bench
