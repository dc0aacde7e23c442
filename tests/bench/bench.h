// What the benchmarks share: clocks, turns, growth, runs of the program and their memory, and the one JSON
// object that each prints. A row of it has these keys:
//
//   work        what is done, in a few words
//   size, of    how much of it: 20000, "bolts"
//   ours_s      seconds that we take; the median of all turns
//   floor_s     seconds that the least possible takes (docs/performance.md says for each row what that is)
//   ratio       ours / floor; the median of the turns' own
//   growth      the slope of log(time) over log(size), between sizes a decade apart; null where nothing grows
//   peak_bytes  the most memory that the program held while it did this work (its resident set)
//   bytes       how large the output is; null where it is not limited
//   limits      the most that ratio, growth, ours_s and bytes may be; those that are held, and no others
//
// Around the rows: `bench`, the name; `turns`, how often each work was done; `quick`.
#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace bench {

/// `--quick` does each work a few times only: enough to see that all of it works, too few to judge by.
struct Options {
  bool quick = false;
  std::vector<std::string> operands{};

  [[nodiscard]] int turns(int full) const;
};
/// Ends the program with 2 for an option that it does not know.
[[nodiscard]] Options read_options(int argc, char** argv);

/// Says so on stderr, and ends the program with 2.
[[noreturn]] void give_up(const std::string& what);

/// A piece of work. What it returns only keeps it from being optimized away.
using Work = std::function<double()>;
/// Seconds that `work` takes [s].
using Clock = double (*)(const Work& work);
/// By the clock on the wall: for what waits for a disk or another process.
[[nodiscard]] double wall(const Work& work);
/// Of the processor, by this process: others' load is not its cost.
[[nodiscard]] double busy(const Work& work);

struct Times {
  double ours = 0, floor = 0;  ///< medians [s]
  double ratio = 0;            ///< the median of the turns' ratios
  double least = 0;            ///< the shortest of ours [s], by which growth is judged
};

/// The floor and every work of `ours`, in turns, and each ratio within its turn, so that a busy machine bears
/// on both of its sides. One element for each of `ours`.
[[nodiscard]] std::vector<Times> in_turns(int turns, Clock clock, const Work& floor,
                                          const std::vector<Work>& ours);
[[nodiscard]] double median(std::vector<double> values);

/// The slope of log(second) over log(first) by least squares. Two or more pairs, all positive.
[[nodiscard]] double growth(const std::vector<std::pair<double, double>>& size_and_seconds);

struct Limits {
  std::optional<double> ratio{}, growth{}, ours_s{}, bytes{};
};

struct Row {
  std::string work;
  double size;
  std::string of;
  Times times;
  std::optional<double> growth;
  std::size_t peak_bytes;
  Limits limits;
  std::optional<std::size_t> bytes{};
};

/// Prints the object. Returns what the program ends with: 0, or 1 when a row is above a limit.
[[nodiscard]] int print(const std::string& name, const Options& options, int turns,
                        const std::vector<Row>& rows);

/// The program under test.
[[nodiscard]] std::string program();
/// Runs a command with its output thrown away and `input` (a path; else nothing) as its standard input. Gives
/// up when it can't be started or ends with neither 0 nor 1, which is an answer too.
void run(const std::vector<std::string>& words, const std::string& input = "/dev/null");
/// The most memory that the same run holds [bytes]. A process inherits the peak of the one that starts it:
/// this starts it from a program that has none to speak of.
[[nodiscard]] std::size_t peak_bytes(const std::vector<std::string>& words,
                                     const std::string& input = "/dev/null");

/// A folder that is gone when the benchmark ends.
class Folder {
 public:
  explicit Folder(const std::filesystem::path& parent = std::filesystem::temp_directory_path());
  ~Folder();
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;

  [[nodiscard]] std::string path(const std::string& name) const { return (path_ / name).string(); }
  /// Writes a file into it; returns its path.
  [[nodiscard]] std::string write(const std::string& name, const std::string& content) const;

 private:
  std::filesystem::path path_;
};

[[nodiscard]] std::string content(const std::string& path);

}  // namespace bench
