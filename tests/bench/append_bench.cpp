// What the book costs. One entry beside the bare calls that it can't do without (open, read, one write, one
// sync); reading, checking and `log` beside hashing and SAX-parsing the same bytes once, at 100 000 readings.
// Prints one JSON object (bench.h); exits 1 when a limit is passed.
//
// usage: append_bench [--quick] [FOLDER]     where the books lie (default: where temporary files go)
#include "tests/bench/bench.h"
#include "tests/bench/books.h"

#include <clampbook/record/book_file.h>
#include <clampbook/review/finding.h>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <filesystem>
#include <string>
#include <vector>

using namespace clampbook;

namespace {

constexpr int kAppends = 400, kTurns = 7;
constexpr int kFresh = 40;  // entries until both sides start again with a small book
constexpr std::array kSmallBooks{10, 100};
constexpr std::array kReadings{10'000, 100'000};
constexpr double kMostAppend = 1.3, kMostRead = 1.5, kMostCheck = 2, kMostLog = 1.5, kMostGrowth = 1.15;

std::string schedule_of(int readings) {
  return bench::listed(readings / bench::kTorques, bench::five_torques());
}

// The calls of one entry, and nothing else.
void bare_append(const std::string& path, const std::string& line) {
  const int fd = ::open(path.c_str(), O_RDWR | O_APPEND | O_CLOEXEC);
  struct stat about {};
  if (fd < 0 || ::fstat(fd, &about) != 0) bench::give_up("open");
  std::string bytes(static_cast<std::size_t>(about.st_size), '\0');
  if (::pread(fd, bytes.data(), bytes.size(), 0) != about.st_size) bench::give_up("read");
  if (::write(fd, line.data(), line.size()) != static_cast<ssize_t>(line.size())) bench::give_up("write");
  if (::fdatasync(fd) != 0) bench::give_up("fdatasync");
  ::close(fd);
}

double parse(const std::string& bytes) {
  return static_cast<double>(record::parse_book(bytes, "bench").events.size());
}

double check(const std::string& bytes) {
  const record::Book book = record::parse_book(bytes, "bench");
  const std::vector<review::Pass> passes = review::read_passes(book);
  return static_cast<double>(
      review::find_findings(book, passes, passes.back(), review::Until::finished).size() + passes.size());
}

// What `log` does between the start of the program and its answer.
double log_one(const std::string& path) {
  record::BookFile file(path, record::BookFile::Missing::refuse);
  std::vector<review::Pass> passes = review::read_passes(file.book());
  const std::size_t before =
      review::find_findings(file.book(), passes, passes.back(), review::Until::at_once).size();
  file.append({bench::reading(1, 1, "1")}, bench::moment());
  review::apply(passes.back(), file.book().events.back());
  return static_cast<double>(
      before + review::find_findings(file.book(), passes, passes.back(), review::Until::at_once).size());
}

std::vector<std::string> log_words(const std::string& path) {
  return {bench::program(), "log", path, "1", "30N·m", "--stage", "1"};
}

bench::Row measure_appends(const bench::Folder& folder, int turns) {
  const std::string ours = folder.path("ours.book"), bare = folder.path("bare.book");
  const std::string small = folder.path("small.book");
  std::vector<std::pair<double, double>> least;
  bench::Times times;
  for (const int readings : kSmallBooks) {
    bench::write_book(small, schedule_of(readings));
    const std::string bytes = bench::content(small);
    const std::string line = bytes.substr(bytes.rfind('\n', bytes.size() - 2) + 1);
    const auto fresh = [&] {
      for (const std::string& to : {ours, bare})
        std::filesystem::copy_file(small, to, std::filesystem::copy_options::overwrite_existing);
    };
    // Not within the turns: a copy is no part of either side.
    std::vector<double> floors, entries;
    for (int turn = 0; turn < turns; ++turn) {
      if (turn % kFresh == 0) fresh();
      floors.push_back(bench::wall([&] {
        bare_append(bare, line);
        return 0.0;
      }));
      entries.push_back(bench::wall([&] {
        return static_cast<double>(record::BookFile(ours, record::BookFile::Missing::refuse)
                                       .append({bench::reading(1, 1, "1")}, bench::moment()));
      }));
    }
    const double floor = bench::median(floors), entry = bench::median(entries);
    // A disk's syncs differ more from call to call than these two do: the ratio is that of the medians.
    times = {entry, floor, entry / floor, entry};
    least.emplace_back(readings, entry);
  }
  return {"append",
          kSmallBooks.back(),
          "readings",
          times,
          bench::growth(least),
          bench::peak_bytes(log_words(ours)),
          {.ratio = kMostAppend, .growth = kMostGrowth}};
}

std::vector<bench::Row> measure_long(const std::string& path, int turns) {
  std::array<std::vector<std::pair<double, double>>, 3> least;
  std::vector<bench::Times> times;
  for (const int readings : kReadings) {
    bench::write_book(path, schedule_of(readings));
    const std::string bytes = bench::content(path);
    times = bench::in_turns(
        turns, bench::busy, [&] { return bench::hash_and_parse(bytes); },
        {[&] { return parse(bytes); }, [&] { return check(bytes); }, [&] { return log_one(path); }});
    for (std::size_t i = 0; i < times.size(); ++i) least[i].emplace_back(readings, times[i].least);
  }
  const int n = kReadings.back();
  const auto limits = [](double ratio) { return bench::Limits{.ratio = ratio, .growth = kMostGrowth}; };
  const std::string program = bench::program();
  return {{"read a book", n, "readings", times[0], bench::growth(least[0]),
           bench::peak_bytes({program, "history", path}), limits(kMostRead)},
          {"check", n, "readings", times[1], bench::growth(least[1]),
           bench::peak_bytes({program, "check", path}), limits(kMostCheck)},
          {"log", n, "readings", times[2], bench::growth(least[2]), bench::peak_bytes(log_words(path)),
           limits(kMostLog)}};
}

}  // namespace

int main(int argc, char** argv) {
  const bench::Options options = bench::read_options(argc, argv);
  const bench::Folder folder(options.operands.empty() ? std::filesystem::temp_directory_path()
                                                      : std::filesystem::path(options.operands.front()));
  const int turns = options.turns(kTurns);
  std::vector<bench::Row> rows{measure_appends(folder, options.turns(kAppends))};
  for (bench::Row& row : measure_long(folder.path("long.book"), turns)) rows.push_back(std::move(row));
  return bench::print("append", options, turns, rows);
}
