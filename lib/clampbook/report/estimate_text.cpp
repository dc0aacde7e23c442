#include <clampbook/report/estimate_text.h>
#include <clampbook/report/figures.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::report {

using review::BoltState;

namespace {

std::string line_of(const BoltState& bolt, std::size_t widest, const TextStyle& style) {
  const review::BoltEstimate& e = bolt.estimate;
  std::string out =
      "  bolt " + padded(text::printable(bolt.id), widest) + "  " + Figures(style).short_force(*e.preload);
  if (e.friction)
    out += fmt::format(", friction {:.2f} ({:.2f}..{:.2f})", e.friction->median, e.friction->p5,
                       e.friction->p95);
  if (e.yielded) {
    const double percent = 100 * *e.yielded;
    out += percent > 99.5  ? ", past yield"
           : percent < 0.5 ? ", not past yield"
                           : fmt::format(", past yield {:.0f} %", percent);
  }
  if (e.loosened) out += ", before it was loosened";
  return out + "\n";
}

}  // namespace

std::string estimates_text(const std::vector<BoltState>& bolts, const TextStyle& style) {
  std::string out;
  std::size_t widest = 0;
  for (const BoltState& bolt : bolts)
    if (bolt.estimate.preload) widest = std::max(widest, text::display_width(text::printable(bolt.id)));
  for (const BoltState& bolt : bolts) {
    if (!bolt.estimate.preload) continue;
    if (out.empty()) out = "What the readings say of the clamp load, with 90 % intervals:\n";
    out += line_of(bolt, widest, style);
  }
  // Without any estimate the sentence above has said so already.
  std::vector<std::string_view> told;
  if (out.empty()) told = {review::kNothingRead, review::kOnlyTorques};
  for (const BoltState& bolt : bolts) {
    const std::string& why = bolt.estimate.why_not;
    if (why.empty() || std::find(told.begin(), told.end(), why) != told.end()) continue;
    told.push_back(why);
    std::string names;
    std::size_t count = 0;
    for (const BoltState& other : bolts) {
      if (other.estimate.why_not != why) continue;
      ++count;
      names += (names.empty() ? "" : ", ") + text::printable(other.id);
    }
    const std::string who = count == bolts.size() ? std::string("any bolt")
                            : count == 1          ? "bolt " + names
                                                  : "bolts " + names;
    const std::string_view what = bolt.estimate.preload ? "friction" : "clamp load";
    out += wrapped(fmt::format("Nothing is said of the {} of {}: {}.", what, who, why), style.width, 0, 2) +
           "\n";
  }
  return out;
}

}  // namespace clampbook::report
