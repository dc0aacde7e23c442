#include "tests/bench/books.h"

#include "tests/bench/bench.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/schedule/read_schedule.h>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <sys/types.h>

#include <sha2.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <memory>
#include <vector>

namespace bench {

using namespace clampbook;

namespace {

constexpr double kCompanion = 53;  // N·m, about what 20 N·m and 60 degrees end with on the bolt below
constexpr std::string_view kHead =
    "format: fastener schedule 1\ntitle: Invented cover\nnotice: Invented data for practice.\n"
    "fasteners: {cover-bolt: {thread: M10, strength: \"10.9\"}}\n";

constexpr std::string_view kWholeJoint =
    "format: fastener schedule 1\ntitle: Invented cover\nnotice: Invented data for practice.\n"
    "fasteners:\n  cover-bolt: {thread: M10x1.5, strength: \"10.9\", head: hexagon, hole: 11 mm, grip: 80 "
    "mm, "
    "shank: 50 mm, engagement: 20 mm, length: 100 mm, hole_depth: 28 mm, "
    "washer: {outer: 20 mm, thickness: 3 mm, hard: true}}\n"
    "joint:\n  layers:\n    - {material: grey iron, thickness: 77 mm, outer: 30 mm}\n"
    "  into: {material: grey iron, thread: tapped}\nlubricant: {stated: engine oil, used: engine oil}\n";

std::string bolts_in_order(int bolts) {
  std::string out = "order: listed\nbolts:\n";
  for (int i = 1; i <= bolts; ++i) out += fmt::format("  - {{id: {}}}\n", i);
  return out;
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

record::Draft by_maren(record::Reading reading) {
  record::Draft out{moment(), std::move(reading)};
  out.remarks.by = "Maren";
  return out;
}

record::Draft reading_of(const plan::Step& step, bool companions) {
  const bool angle = step.kind == plan::StageKind::angle;
  const record::Quantity value = record::quantity_of(*step.target);
  record::Reading out{{1, step.step, step.stage, step.bolt}, value};
  if (angle && companions) out.also = record::Quantity{units::Dimension::torque, kCompanion};
  out.given = fmt::format("{:.1f}{}", value.value, angle ? "deg" : "Nm");
  return by_maren(std::move(out));
}

}  // namespace

std::string cover(int bolts, int columns, const std::string& stages) {
  std::string out = std::string(kHead) + "order: centre_out\nbolts:\n";
  for (int i = 0; i < bolts; ++i)
    out += fmt::format("  - {{id: {}, at: [{} mm, {} mm]}}\n", i + 1, i % columns * 40, i / columns * 60);
  return out + "stages:\n" + stages;
}

std::string listed(int bolts, const std::string& stages) {
  return std::string(kHead) + bolts_in_order(bolts) + "stages:\n" + stages;
}

std::string whole_joint(int bolts) {
  return std::string(kWholeJoint) + bolts_in_order(bolts) +
         "stages:\n  - {snug: 8 N·m}\n  - {torque: 20 N·m}\n  - {angle: 60°, tolerance: 5°}\n";
}

std::string five_torques() {
  std::string out;
  for (int i = 0; i < kTorques; ++i) out += "  - {torque: 30 N·m}\n";
  return out;
}

record::Timestamp moment() {
  static const record::Timestamp kMoment = *record::parse_timestamp("2026-05-04T09:30:00.000+02:00");
  return kMoment;
}

record::Draft reading(int step, int stage, const std::string& bolt) {
  return by_maren(
      {{1, step, stage, bolt}, record::Quantity{units::Dimension::torque, 30.25}, std::nullopt, "30.25Nm"});
}

std::size_t write_book(const std::string& path, const std::string& schedule, bool companions) {
  const plan::Plan plan = plan::make_plan(
      schedule::read_schedule(std::make_shared<const text::Source>("bench.yaml", schedule)), {});
  record::Begun begun{1, "Invented cover"};
  begun.schedule = schedule;
  std::vector<record::Draft> events{{moment(), record::Box(std::move(begun))},
                                    {moment(), record::Box(record::Planned{1, plan::to_record(plan)})}};
  for (const plan::Step& step : plan.steps) events.push_back(reading_of(step, companions));
  std::filesystem::remove(path);
  record::BookFile(path, record::BookFile::Missing::create).append(events, moment());
  return events.size() + 1;
}

double hash_and_parse(const std::string& bytes) {
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
  return static_cast<double>(handler.values) + digits[0];
}

}  // namespace bench
