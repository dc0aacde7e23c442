#include "tests/reference/accuracy_table.h"

#include "tests/reference/computations.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>
#include <vector>

namespace reference {

namespace {

// What a computation gives, in words. In the order of the report.
const std::vector<std::pair<std::string, std::string>>& names() {
  static const std::vector<std::pair<std::string, std::string>> list = {
      {"m_d2", "pitch diameter, metric"},
      {"m_d3", "minor diameter d3, metric"},
      {"m_d1", "minor diameter d1, metric"},
      {"m_As", "stress area, metric"},
      {"m_A3", "minor area, metric"},
      {"u_At", "stress area, Unified"},
      {"load", "proof and breaking load"},
      {"vdi_FM", "assembly preload at 90 % of yield"},
      {"vdi_MA", "assembly torque"},
      {"vdi_FM_elastic", "assembly preload, elastic torsion modulus"},
      {"sigma_red", "von Mises stress, turned or in service"},
      {"yield_margin", "margin to yield"},
      {"iso16047_mutot", "total friction from a test"},
      {"iso16047_muth", "thread friction from a test"},
      {"iso16047_mub", "seat friction from a test"},
      {"F_TKd_kN", "preload by nut factor"},
      {"T_KdF_Nm", "torque by nut factor"},
      {"T_KdF_lbfin", "torque by nut factor, inch"},
      {"nut_K_from_T", "nut factor from a test"},
      {"preload_bound", "preload bound by nut factor"},
      {"med_torque", "torque by friction, inch"},
      {"frustum", "stiffness of a cone"},
      {"frusta_series", "stiffness of cones in series"},
      {"km_single", "stiffness of parts, one material"},
      {"kb", "stiffness of a bolt"},
      {"kb_thread", "stiffness of a threaded bar"},
      {"elong", "stretch of a bar"},
      {"vdi_bolt_resilience", "resilience of a bolt, substitute lengths"},
      {"C_joint", "share of an axial load"},
      {"bolt_load", "bolt load in service"},
      {"clamp_left", "clamp load left in service"},
      {"stress_service", "bolt stress in service"},
      {"embed_loss", "loss by embedding"},
      {"thermal_dF", "preload by heat"},
      {"angle_F", "preload by an elastic turn"},
      {"angle_for_F", "turn for an elastic preload"},
      {"free_angle_stretch", "travel of a nut"},
      {"deviation_pct", "deviation of a tool"},
      {"limit_lo", "acceptance band, low"},
      {"limit_hi", "acceptance band, high"},
      {"ext", "wrench setting with an adapter"},
      {"ext_short", "wrench setting, adapter turned back"},
      {"ext_actual", "torque delivered through an adapter"},
      {"vdi_FM_short", "assembly preload"},
      {"vdi_MA_short", "torque by friction"},
      {"iso16047_T", "torque by friction"},
      {"K_from_mu", "nut factor"},
      {"split_pct", "shares of the torque"},
  };
  return list;
}

std::string_view how(const std::string& known) {
  if (known == "seen") return "published, copied";
  return known == "memory" ? "published, from memory" : "computed from the definition";
}

/// Rows of one computation that were come by in one way.
struct Group {
  std::vector<std::string> sources{};
  int rows = 0;
  double error = 0;      // the largest, relative
  double tolerance = 0;  // the largest share of a row's tolerance that is used up

  void add(const Row& row, double computed) {
    if (std::find(sources.begin(), sources.end(), row.source) == sources.end()) sources.push_back(row.source);
    ++rows;
    const double off = std::abs(computed - row.number());
    if (row.number() != 0) error = std::max(error, off / std::abs(row.number()));
    tolerance = std::max(tolerance, off / row.allowed());
  }
};

// Noise of the last digits differs from build to build, and says nothing.
constexpr double kNoise = 1e-9;
std::string percent(double share) {
  return share < kNoise ? "below 1e-7 %" : fmt::format("{:.2g} %", share * 100);
}

std::string shown(std::string text) {
  std::replace(text.begin(), text.end(), '|', '/');
  return text;
}

bool is_ours(const Row& row) {
  return row.topic != "units" && row.topic != "order" && !row.fn().empty();
}

// How the values were come by, in the order of their weight.
constexpr const char* kHow[] = {"seen", "memory", "computed-from-definition"};

std::string table(const std::map<std::string, Compute>& calls, bool with_tolerance) {
  std::string out = with_tolerance
                        ? "| quantity | reference | how known | rows | worst error | of its tolerance |\n"
                          "|---|---|---|---:|---:|---:|\n"
                        : "| quantity | reference | rows | worst difference |\n|---|---|---:|---:|\n";
  std::size_t named = 0;
  for (const auto& [fn, name] : names()) {
    const auto call = calls.find(fn);
    if (call == calls.end()) continue;
    ++named;
    std::map<std::string, Group> by_how;
    for (const Row& row : all_rows())
      if (is_ours(row) && row.fn() == fn && unmet().count(row.id) == 0)
        by_how[row.how_known].add(row, call->second(row));
    for (const char* known : kHow) {
      const auto found = by_how.find(known);
      if (found == by_how.end()) continue;
      const Group& g = found->second;
      const std::string source = shown(fmt::format("{}", fmt::join(g.sources, "; ")));
      out += with_tolerance ? fmt::format("| {} | {} | {} | {} | {} | {:.2f} |\n", name, source, how(known),
                                          g.rows, percent(g.error), g.tolerance)
                            : fmt::format("| {} | {} | {} | {} |\n", name, source, g.rows, percent(g.error));
    }
  }
  if (named != calls.size()) throw std::logic_error("a computation has no name in the accuracy report");
  return out;
}

std::string missed() {
  std::string out = "| row | quantity | reference | error | reason |\n|---|---|---|---:|---|\n";
  for (const Row& row : all_rows()) {
    const auto reason = unmet().find(row.id);
    if (reason == unmet().end()) continue;
    const double computed = computations().at(row.fn())(row);
    out += fmt::format("| {} | {} | {} | {} | {} |\n", row.id, shown(row.quantity), shown(row.source),
                       percent(std::abs(computed / row.number() - 1)), reason->second);
  }
  return out;
}

std::string left_out() {
  std::string out = "| computation | rows | reason |\n|---|---:|---|\n";
  for (const auto& [fn, reason] : not_ours()) {
    const auto rows = std::count_if(all_rows().begin(), all_rows().end(), [&name = fn](const Row& row) {
      return is_ours(row) && row.fn() == name;
    });
    out += fmt::format("| `{}` | {} | {} |\n", fn, rows, reason);
  }
  return out;
}

}  // namespace

std::string accuracy_tables() {
  return "### Exact forms\n\n" + table(computations(), true) + "\n### Rounded short forms\n\n" +
         table(short_forms(), false) + "\n### Missed\n\n" + missed() + "\n### Left out\n\n" + left_out();
}

}  // namespace reference
