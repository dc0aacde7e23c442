#include "tests/reference/trace_accuracy.h"

#include <clampbook/plan/trace_joint.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/yaml_tree.h>
#include <clampbook/text/json.h>
#include <clampbook/text/read_file.h>
#include <clampbook/trace/read_trace.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <numeric>
#include <sstream>
#include <stdexcept>

namespace reference {

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using units::degree;
using units::newton_metre;
using units::value_in;

namespace {

const std::string kFolder = CLAMPBOOK_SOURCE_DIR "/tests/reference/traces/";

double percent(double found, double truth) {
  return (found / truth - 1) * 100;
}

void add_place(const std::optional<trace::CurvePlace>& found, std::optional<double> angle,
               std::optional<double> torque, std::vector<double>& angles, std::vector<double>& torques) {
  if (!found || !angle) return;
  angles.push_back(value_in(found->angle, degree) - *angle);
  torques.push_back(percent(value_in(found->torque, newton_metre), *torque));
}

void add(const trace::TraceReading& r, const pulls::Truth& t, const std::string& name, TraceErrors& out) {
  ++out.pulls;
  if (trace::name(r.verdict) == t.verdict) {
    ++out.right_verdicts;
  } else {
    out.wrong.push_back(fmt::format("{}: {} instead of {}", name, trace::name(r.verdict), t.verdict));
  }
  out.yields += t.half_slope ? 1 : 0;
  out.missed_yields += t.half_slope && !r.yield ? 1 : 0;
  out.false_yields += r.yield && !t.half_slope ? 1 : 0;
  out.peak.push_back(percent(value_in(r.peak, newton_metre), t.peak));
  if (r.prevailing) out.running.push_back(value_in(*r.prevailing, newton_metre) - t.prevailing);
  if (!r.slope) return;
  out.slope.push_back(percent(value_in(*r.slope, units::newton_metre_per_degree), t.slope));
  out.origin.push_back(value_in(*r.elastic_origin, degree) - t.origin);
  if (r.snug) out.snug.push_back(value_in(r.snug->angle, degree) - t.snug);
  add_place(r.yield, t.half_slope, t.half_slope_torque, out.half_slope, out.half_slope_torque);
}

std::optional<double> number(const text::Json& object, const char* key) {
  const text::Json* found = object.find(key);
  if (found == nullptr) throw std::logic_error(fmt::format("no {} in the truth of a trace", key));
  return found->as_number();
}

pulls::Truth truth_of(const text::Json& t) {
  pulls::Truth out;
  out.verdict = *t.find("verdict")->as_string();
  out.slope = *number(t, "slope_Nm_per_deg");
  out.origin = *number(t, "elastic_origin_deg");
  out.snug = *number(t, "snug_deg");
  out.peak = *number(t, "peak_Nm");
  out.end = *number(t, "end_deg");
  out.half_slope = number(t, "half_slope_deg");
  out.half_slope_torque = number(t, "half_slope_Nm");
  out.yield_02 = number(t, "yield_02_deg");
  out.yield_02_torque = number(t, "yield_02_Nm");
  return out;
}

}  // namespace

TraceErrors synthetic_errors(pulls::Kind kind, const pulls::Noise& noise, int count,
                             std::uint64_t first_seed) {
  TraceErrors out;
  for (int i = 0; i < count; ++i) {
    const std::uint64_t seed = first_seed + static_cast<std::uint64_t>(i);
    pulls::Pull pull = pulls::make(kind, noise, seed);
    std::istringstream file(pulls::csv(pull));
    const trace::TraceFile read = trace::read_trace(file, "a synthetic pull");
    const trace::TraceReading reading = trace::read_curve(read.curve);
    pulls::Truth& t = pull.truth;
    // The truth's torques at the knee are the bolt's; the wrench turns the run-down's torque besides.
    if (t.half_slope_torque) *t.half_slope_torque += t.prevailing;
    if (t.yield_02_torque) *t.yield_02_torque += t.prevailing;
    add(reading, t, fmt::format("seed {}", seed), out);
    add_place(trace::offset_yield(read.curve, reading, units::of(t.offset, degree)), t.yield_02,
              t.yield_02_torque, out.offset, out.offset_torque);
  }
  return out;
}

TraceErrors recorded_errors() {
  std::ifstream file(kFolder + "truth.json");
  std::stringstream text;
  text << file.rdbuf();
  const auto truth = text::parse_json(text.str());
  if (!truth) throw std::logic_error("the truth of the traces is not JSON");
  const schedule::Schedule joints =
      schedule::read_schedule(text::read_file(kFolder + "joints.yaml", schedule::kLargestFile));
  TraceErrors out;
  for (const text::Json& t : *truth->find("traces")->as_array()) {
    const std::string name = *t.find("file")->as_string();
    std::ifstream in(kFolder + name, std::ios::binary);
    const trace::TraceFile read = trace::read_trace(in, name);
    const trace::TraceReading reading = trace::read_curve(read.curve);
    const pulls::Truth expected = truth_of(t);
    add(reading, expected, name, out);
    const auto fastener = std::find_if(joints.fasteners.begin(), joints.fasteners.end(), [&](const auto& f) {
      return f.name == *t.find("joint")->as_string();
    });
    const plan::TraceJoint joint =
        plan::read_joint(read.curve, reading, plan::bolt_model(joints, *fastener), fastener->name);
    add_place(joint.yield_02, expected.yield_02, expected.yield_02_torque, out.offset, out.offset_torque);
    if (!joint.preload) continue;
    const double preload = *number(t, "preload_N");
    out.preload.push_back(percent(value_in(joint.preload->nominal, units::newton), preload));
    out.preload_bands += value_in(joint.preload->p5, units::newton) <= preload &&
                                 preload <= value_in(joint.preload->p95, units::newton)
                             ? 1
                             : 0;
  }
  return out;
}

Spread spread_of(std::vector<double> errors) {
  if (errors.empty()) throw std::logic_error("no errors to judge");
  const auto n = static_cast<double>(errors.size());
  const double mean = std::accumulate(errors.begin(), errors.end(), 0.0) / n;
  double squares = 0;
  for (const double e : errors) squares += (e - mean) * (e - mean);
  for (double& e : errors) e = std::fabs(e);
  std::sort(errors.begin(), errors.end());
  const auto at = [&](double share) {
    return errors[static_cast<std::size_t>(std::lround(share * (n - 1)))];
  };
  return {mean, std::sqrt(squares / n), at(0.9), at(0.95)};
}

namespace {

struct Level {
  const char* name;
  const pulls::Noise& noise;
};
const std::array kLevels{Level{"good", pulls::kGood}, Level{"fair", pulls::kFair},
                         Level{"poor", pulls::kPoor}};

using Member = std::vector<double> TraceErrors::*;
struct Row {
  const char* name;
  Member member;
};
const std::array kRows{Row{"slope, %", &TraceErrors::slope},
                       Row{"elastic origin, °", &TraceErrors::origin},
                       Row{"snug point, °", &TraceErrors::snug},
                       Row{"half-slope point, °", &TraceErrors::half_slope},
                       Row{"torque there, %", &TraceErrors::half_slope_torque},
                       Row{"0.2 % point, joint known, °", &TraceErrors::offset},
                       Row{"torque there, %", &TraceErrors::offset_torque},
                       Row{"running torque, N·m", &TraceErrors::running},
                       Row{"peak torque, %", &TraceErrors::peak}};

std::string cell(const std::vector<double>& errors) {
  const Spread s = spread_of(errors);
  // No minus sign before a bias that is none.
  const double bias = std::fabs(s.bias) < 0.05 ? 0 : s.bias;
  return fmt::format("{:.1f} / {:.1f} / {:.1f}", bias, s.deviation, s.p95);
}

std::string table(pulls::Kind kind, int count) {
  std::array<TraceErrors, 3> errors;
  for (std::size_t i = 0; i < kLevels.size(); ++i)
    errors[i] = synthetic_errors(kind, kLevels[i].noise, count, 1);
  std::string out =
      "| error: bias / standard deviation / 95 % lie within | good | fair | poor |\n|---|---|---|---|\n";
  for (const Row& row : kRows) {
    if ((errors[0].*row.member).empty()) continue;
    out += fmt::format("| {} | {} | {} | {} |\n", row.name, cell(errors[0].*row.member),
                       cell(errors[1].*row.member), cell(errors[2].*row.member));
  }
  out += fmt::format("| yields missed; called without one | {}; {} | {}; {} | {}; {} |\n",
                     errors[0].missed_yields, errors[0].false_yields, errors[1].missed_yields,
                     errors[1].false_yields, errors[2].missed_yields, errors[2].false_yields);
  return out;
}

constexpr std::array kKinds{pulls::Kind::yielding,       pulls::Kind::elastic,  pulls::Kind::prevailing,
                            pulls::Kind::cross_threaded, pulls::Kind::stripped, pulls::Kind::bottomed,
                            pulls::Kind::retightened};

std::string verdicts() {
  std::string out = "| right verdicts of 40 | good | fair | poor |\n|---|---:|---:|---:|\n";
  for (const pulls::Kind kind : kKinds) {
    out += fmt::format("| {} |", pulls::make(kind, pulls::kGood, 1).truth.verdict);
    for (const Level& level : kLevels)
      out += fmt::format(" {} |", synthetic_errors(kind, level.noise, kOthers, 1001).right_verdicts);
    out += "\n";
  }
  return out;
}

std::string recorded() {
  const TraceErrors e = recorded_errors();
  std::string out = "| error | median | 90 % lie within | of |\n|---|---:|---:|---:|\n";
  const auto row = [&](const char* name, std::vector<double> errors) {
    const Spread s = spread_of(errors);
    for (double& x : errors) x = std::fabs(x);
    std::nth_element(errors.begin(), errors.begin() + static_cast<std::ptrdiff_t>(errors.size() / 2),
                     errors.end());
    out +=
        fmt::format("| {} | {:.1f} | {:.1f} | {} |\n", name, errors[errors.size() / 2], s.p90, errors.size());
  };
  for (const Row& r : kRows)
    if (!(e.*r.member).empty() && r.member != &TraceErrors::running) row(r.name, e.*r.member);
  row("clamp load at the end, joint known, %", e.preload);
  out += fmt::format("| right verdicts | {} | | {} |\n", e.right_verdicts, e.pulls);
  out += fmt::format("| yield called rightly | {} | | {} |\n", e.pulls - e.missed_yields - e.false_yields,
                     e.pulls);
  out +=
      fmt::format("| clamp loads within their 90 % band | {} | | {} |\n", e.preload_bands, e.preload.size());
  return out;
}

}  // namespace

std::string trace_tables() {
  return fmt::format(
      "#### Pulls past yield, 80 of each noise\n\n{}\n#### Pulls that end before it, 40 of each noise\n\n{}\n"
      "#### Verdicts\n\n{}\n#### Thirty pulls of other making\n\n{}",
      table(pulls::Kind::yielding, kYielding), table(pulls::Kind::elastic, kOthers), verdicts(), recorded());
}

}  // namespace reference
