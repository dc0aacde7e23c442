#include "tests/support/catch.h"
#include "tests/support/pulls.h"

#include <clampbook/text/error.h>
#include <clampbook/trace/read_trace.h>
#include <clampbook/trace/reading.h>

#include <fmt/format.h>
#include <sys/resource.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <functional>
#include <sstream>
#include <streambuf>

namespace {

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using trace::TraceFile;
using trace::TraceReading;

TraceFile read(const std::string& text) {
  std::istringstream in(text);
  return trace::read_trace(in, "pull.csv");
}

TraceReading reading(const std::string& text) {
  return trace::read_curve(read(text).curve);
}

// The complaint with its place, as a person sees it.
std::string complaint(const std::string& text) {
  try {
    static_cast<void>(read(text));
  } catch (const InputError& e) {
    return text::render(e.diagnostics().front());
  }
  return "none";
}

const pulls::Pull& pull() {
  static const pulls::Pull kPull = pulls::make(pulls::Kind::yielding, pulls::kGood, 3);
  return kPull;
}

using Write = std::function<std::string(const pulls::Reading&)>;
std::string written(const std::string& header, const Write& row) {
  std::string out = header + "\n";
  for (const pulls::Reading& r : pull().readings) out += row(r) + "\n";
  return out;
}

// Every figure of two readings within the rounding that another unit or sign brings.
void same(const TraceReading& a, const TraceReading& b, double tolerance = 1e-6) {
  REQUIRE(a.verdict == b.verdict);
  REQUIRE(a.slope);
  REQUIRE(b.slope);
  REQUIRE(a.yield.has_value() == b.yield.has_value());
  const auto close = [&](auto x, auto y) {
    REQUIRE_THAT(units::si_number(x), WithinRel(units::si_number(y), tolerance));
  };
  close(*a.slope, *b.slope);
  close(*a.elastic_origin, *b.elastic_origin);
  close(a.snug->angle, b.snug->angle);
  close(a.yield->angle, b.yield->angle);
  close(a.yield->torque, b.yield->torque);
  close(a.peak, b.peak);
  close(*a.prevailing, *b.prevailing);
}

// A reading on the edge of a bin may fall to either side when it is converted and back.
constexpr double kOtherBins = 2e-3;

TEST_CASE("columns may stand in any order and unit", "[trace][read]") {
  const TraceReading plain = reading(pulls::csv(pull()));
  same(reading(
           written("torque_Nm,angle_deg",
                   [](const auto& r) { return fmt::format("{:.1f},{:.1f}", r.newton_metres, r.degrees); })),
       plain, kOtherBins);
  same(reading(written("angle_rad;time_ms;torque_ftlb",
                       [](const auto& r) {
                         return fmt::format("{:.12f};{:.3f};{:.12f}", r.degrees * units::kPi / 180,
                                            r.seconds * 1000, r.newton_metres / 1.3558179483314004);
                       })),
       plain, kOtherBins);
  same(reading(written("time_s\tangle_turn\ttorque_inlb",
                       [](const auto& r) {
                         return fmt::format("{:.3f}\t{:.15f}\t{:.12f}", r.seconds, r.degrees / 360,
                                            r.newton_metres / 0.1129848290276167);
                       })),
       plain, kOtherBins);
  same(reading(written("torque_kgfm,angle_deg,room,time_s",
                       [](const auto& r) {
                         return fmt::format("{:.12f},{:.1f},bench 2,{:.3f}", r.newton_metres / 9.80665,
                                            r.degrees, r.seconds);
                       })),
       plain, kOtherBins);
}

TEST_CASE("marks of other machines change nothing", "[trace][read]") {
  const std::string plain = pulls::csv(pull());
  const TraceReading expected = reading(plain);
  std::string crlf = "\xEF\xBB\xBF# a log\r\n\r\n";
  for (const char c : plain) crlf += c == '\n' ? std::string("\r\n") : std::string(1, c);
  same(reading(crlf), expected);
  const auto comma = [](double x) {
    std::string out = fmt::format("{:.3f}", x);
    std::replace(out.begin(), out.end(), '.', ',');
    return out;
  };
  same(reading(written("\"time_s\";\"angle_deg\";\"torque_Nm\"",
                       [&](const auto& r) {
                         return comma(r.seconds) + ";" + comma(r.degrees) + " ;" + comma(r.newton_metres) +
                                ";";
                       })),
       expected);
  std::string no_end = plain;
  no_end.pop_back();
  same(reading(no_end), expected);
}

TEST_CASE("signs of the tool are turned", "[trace][read]") {
  const TraceReading expected = reading(pulls::csv(pull()));
  const TraceFile torque = read(written("angle_deg,torque_Nm", [](const auto& r) {
    return fmt::format("{:.1f},{:.1f}", r.degrees, -r.newton_metres);
  }));
  REQUIRE(torque.curve.torque_flipped);
  same(trace::read_curve(torque.curve), expected);
  const TraceFile both = read(written("angle_deg,torque_Nm", [](const auto& r) {
    return fmt::format("{:.1f},{:.1f}", -r.degrees, -r.newton_metres);
  }));
  REQUIRE(both.curve.angle_flipped);
  same(trace::read_curve(both.curve), expected);
}

TEST_CASE("rows out of order in time are put in order", "[trace][read]") {
  std::vector<pulls::Reading> shuffled = pull().readings;
  for (std::size_t i = 5; i + 3 < shuffled.size(); i += 11) std::swap(shuffled[i], shuffled[i + 3]);
  const TraceFile file = read(pulls::csv({shuffled, {}}));
  same(trace::read_curve(file.curve), reading(pulls::csv(pull())), 1e-12);
  REQUIRE(file.notes.size() == 1);
  REQUIRE(file.notes[0].find("out of order") != std::string::npos);
}

TEST_CASE("rows without a number are left out and counted", "[trace][read]") {
  std::string text = "time_s,angle_deg,torque_Nm\n";
  std::size_t i = 0;
  for (const pulls::Reading& r : pull().readings) {
    text += fmt::format("{:.3f},{:.1f},{:.1f}\n", r.seconds, r.degrees, r.newton_metres);
    if (++i % 50 == 0)
      text += fmt::format("{:.3f},NaN,{:.1f}\n{:.3f},,\n", r.seconds, r.newton_metres, r.seconds);
  }
  const TraceFile file = read(text + "9.9,43");
  same(trace::read_curve(file.curve), reading(pulls::csv(pull())), 1e-12);
  REQUIRE(file.curve.samples == pull().readings.size());
  REQUIRE(file.notes == std::vector<std::string>{fmt::format(
                            "{} rows with an empty cell or no number: left out", 2 * (i / 50) + 1)});
}

TEST_CASE("a bad file is refused with its place", "[trace][read]") {
  using Catch::Matchers::Contains;
  const std::string good = "time_s,angle_deg,torque_Nm\n0.1,1,2\n";
  REQUIRE_THAT(complaint(good + "0.2,2.5,twelve\n"),
               Contains("pull.csv:3:9: error: 'twelve' is not a number [bad-csv]"));
  REQUIRE_THAT(complaint("0.1,1,2\n0.2,2,3\n"), Contains("pull.csv:1:1: error: the file has no header"));
  REQUIRE_THAT(complaint(""), Contains("the file is empty"));
  REQUIRE_THAT(complaint("# only a comment\n"), Contains("the file is empty"));
  REQUIRE_THAT(complaint("angle_deg,torque_Nm\n"), Contains("no row below the header"));
  REQUIRE_THAT(complaint("angle_deg,torque_lb\n1,2\n"),
               Contains("pull.csv:1:11: error: 'torque_lb' is no column"));
  REQUIRE_THAT(complaint("angle_deg,torque_nm\n1,2\n"), Contains("did you mean torque_Nm"));
  REQUIRE_THAT(complaint("angle_deg,angle_rad,torque_Nm\n1,2,3\n"),
               Contains("second column of the same kind"));
  REQUIRE_THAT(complaint("time_s,angle_deg\n1,2\n"), Contains("the header names no torque"));
  REQUIRE_THAT(complaint("angle_deg,torque_Nm\n1,2\n3\n4,5\n"),
               Contains("pull.csv:3:1: error: the row has 1 cell;"));
  REQUIRE_THAT(complaint("angle_deg,torque_Nm\n1,5,2,5\n"), Contains("a decimal comma needs semicolons"));
  REQUIRE_THAT(complaint("angle_deg\ttorque_Nm\n1,5\t2,5\n"),
               Contains("pull.csv:2:1: error: '1,5' is written with a decimal comma"));
  REQUIRE_THAT(complaint("angle_deg,torque_Nm\n1,1e9\n"), Contains("beyond 1e7"));
  REQUIRE_THAT(complaint("angle_deg,torque_Nm\n1,0x10\n"), Contains("hexadecimal"));
  REQUIRE_THAT(complaint(std::string("\xFF\xFE") + "a\0n\0"), Contains("[not-utf8]"));
  REQUIRE_THAT(complaint("angle_deg,torque_Nm\n1,\xFF\xFE\n"),
               Contains("pull.csv:2:3: error: '?\?' is not a number"));
  REQUIRE_THAT(complaint("angle_deg,torque_Nm\n1," + std::string(200000, '7') + "\n"), Contains("[bad-csv]"));
  REQUIRE_THAT(complaint("angle_deg,torque_Nm\n" + std::string(200000, '\0')),
               Contains("the row is too long"));
}

TEST_CASE("bytes of any kind give a curve or a complaint", "[trace][read]") {
  const std::string plain = pulls::csv(pull()).substr(0, 3000);
  std::uint64_t state = 20260504;
  int refused = 0;
  for (int i = 0; i < 2000; ++i) {
    std::string text = plain;
    for (int change = 0; change <= i % 4; ++change) {
      state = state * 6364136223846793005u + 1442695040888963407u;
      text[(state >> 33) % text.size()] = static_cast<char>(state >> 56);
    }
    text.resize(text.size() - (state >> 40) % 200);
    try {
      const TraceReading r = reading(text);
      CHECK(std::isfinite(units::si_number(r.peak)));
    } catch (const InputError& e) {
      ++refused;
      CHECK_FALSE(e.diagnostics().front().message.empty());
    }
  }
  CHECK(refused > 100);
  CHECK(refused < 2000);
}

// A log without an end: a header, then the same block again and again.
class EndlessLog : public std::streambuf {
 public:
  EndlessLog(std::string head, std::string block, std::size_t bytes)
      : head_(std::move(head)), block_(std::move(block)), left_(bytes) {
    setg(head_.data(), head_.data(), head_.data() + head_.size());
  }
  [[nodiscard]] std::size_t given() const { return given_; }

 protected:
  int_type underflow() override {
    if (left_ < block_.size()) return traits_type::eof();
    left_ -= block_.size();
    given_ += block_.size();
    setg(block_.data(), block_.data(), block_.data() + block_.size());
    return traits_type::to_int_type(block_.front());
  }

 private:
  std::string head_, block_;
  std::size_t left_, given_ = 0;
};

std::size_t peak_memory_kib() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<std::size_t>(usage.ru_maxrss);
}

TEST_CASE("a log of two gigabytes is read in the memory of a small one", "[trace][read]") {
  // One pull, and then the wrench lies on the bench and the logger goes on for months.
  const std::string head = pulls::csv(pull());
  std::string idle;
  while (idle.size() < 1 << 20) idle += "999.125,300.5,0.1\n999.126,300.4,0.0\n";
  EndlessLog log(head, idle, std::size_t{2} << 30);
  std::istream in(&log);
  const std::size_t before = peak_memory_kib();
  const TraceFile file = trace::read_trace(in, "endless.csv");
  const std::size_t grown = peak_memory_kib() - before;
  REQUIRE(log.given() > std::size_t{2} << 30 >> 1);
  REQUIRE(file.curve.samples > 100'000'000);
  REQUIRE(grown < 32 * 1024);
  same(trace::read_curve(file.curve), reading(head), 1e-9);
}

TEST_CASE("an angle without an end is refused and not kept", "[trace][read]") {
  std::string text = "angle_turn,torque_Nm\n";
  for (int i = 0; i < 1'500'000; ++i) text += fmt::format("{:.3f},0.5\n", 0.002 * i);
  REQUIRE(complaint(text).find("[too-large]") != std::string::npos);
}

TEST_CASE("a million rows of one pull read as that pull", "[trace][read]") {
  // Each reading many times over: a logger that is far too fast.
  std::string text = "angle_deg,torque_Nm\n";
  const std::size_t copies = 1'000'000 / pull().readings.size() + 1;
  for (const pulls::Reading& r : pull().readings) {
    const std::string row = fmt::format("{:.1f},{:.1f}\n", r.degrees, r.newton_metres);
    for (std::size_t i = 0; i < copies; ++i) text += row;
  }
  const TraceFile file = read(text);
  REQUIRE(file.curve.samples >= 1'000'000);
  same(trace::read_curve(file.curve), reading(pulls::csv(pull())), 0.01);
}

}  // namespace
