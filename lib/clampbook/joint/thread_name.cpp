#include <clampbook/joint/thread_name.h>

#include <clampbook/joint/thread_table.h>
#include <clampbook/text/number.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace clampbook::joint {

namespace {

constexpr std::string_view kNoBreakSpace = "\u00a0";
constexpr std::string_view kTimes = "\u00d7";

std::string replace_all(std::string_view text, std::string_view from, std::string_view to) {
  std::string out;
  for (std::size_t at = text.find(from); at != std::string_view::npos; at = text.find(from)) {
    out.append(text.substr(0, at)).append(to);
    text.remove_prefix(at + from.size());
  }
  out.append(text);
  return out;
}

std::string_view trim(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

bool take_suffix(std::string_view& text, std::string_view suffix) {
  if (text.size() < suffix.size() || text.substr(text.size() - suffix.size()) != suffix) return false;
  text = trim(text.substr(0, text.size() - suffix.size()));
  return true;
}

NotFound unknown(std::string_view given) {
  const std::vector<std::string>& words = standard_threads();
  const std::vector<std::string_view> candidates(words.begin(), words.end());
  std::string help = text::did_you_mean(given, candidates);
  if (help.empty()) help = "write for example M10, M10x1.25, 3/8-16 UNC or 3/8-24 UNF";
  return {fmt::format("'{}' is not a thread", given), std::move(help)};
}

bool same(double a, double b) {
  return std::abs(a - b) <= 1e-9 * std::max(a, b);
}

std::string with_hand(std::string name, Hand hand) {
  return hand == Hand::left ? name + "-LH" : name;
}

std::string list_numbers(const std::vector<double>& numbers) {
  std::string out;
  for (const double n : numbers) {
    if (!out.empty()) out += ", ";
    out += text::shortest(n);
  }
  return out;
}

// ---- metric

std::vector<double> pitches(const MetricRow& row) {
  std::vector<double> out;
  if (row.coarse > 0) out.push_back(row.coarse);
  for (const double fine : row.fine) {
    if (fine > 0) out.push_back(fine);
  }
  return out;
}

Found<NamedThread> find_metric(std::string_view given, std::string_view text, Hand hand) {
  const text::NumberScan size = text::scan_number_prefix(text);
  if (!size) return unknown(given);
  const auto table = metric_table();
  const auto row = std::find_if(table.begin(), table.end(),
                                [&](const MetricRow& r) { return same(r.diameter, size.value); });
  std::string_view rest = trim(text.substr(size.length));
  double pitch = row == table.end() ? 0 : row->coarse;
  if (rest.empty()) {
    if (row == table.end()) return unknown(given);
    if (pitch == 0) {
      return NotFound{fmt::format("M{} has no coarse pitch", text::shortest(size.value)),
                      "write the pitch, one of " + list_numbers(pitches(*row)) + " mm"};
    }
  } else {
    if (rest.front() != 'x') return unknown(given);
    const text::NumberScan written = text::scan_number(trim(rest.substr(1)));
    if (!written) return unknown(given);
    pitch = written.value;
  }
  if (!(size.value >= 1 && size.value <= 300)) {
    return NotFound{fmt::format("a thread of {} mm is outside the tables", text::shortest(size.value)),
                    "M1 to M300"};
  }
  if (!(pitch > 0 && pitch <= size.value / 2)) {
    return NotFound{
        fmt::format("a pitch of {} mm does not fit M{}", text::shortest(pitch), text::shortest(size.value)),
        "above zero and at most half of the diameter"};
  }
  const std::string base = fmt::format("M{}", text::shortest(size.value));
  const bool coarse = row != table.end() && same(row->coarse, pitch);
  NamedThread out{
      with_hand(coarse ? base : fmt::format("{}x{}", base, text::shortest(pitch)), hand),
      Thread::metric(units::of(size.value, units::millimetre), units::of(pitch, units::millimetre), hand),
      false};
  const std::vector<double> usual = row == table.end() ? std::vector<double>{} : pitches(*row);
  out.standard = std::any_of(usual.begin(), usual.end(), [&](double p) { return same(p, pitch); });
  if (!out.standard) {
    out.note = usual.empty() ? base + " is not a standard size"
                             : fmt::format("{} usually has a pitch of {} mm", base, list_numbers(usual));
  }
  return out;
}

// ---- unified

std::optional<double> fraction(std::string_view text) {
  const std::size_t slash = text.find('/');
  if (slash == std::string_view::npos) return std::nullopt;
  const text::NumberScan above = text::scan_number(text.substr(0, slash));
  const text::NumberScan below = text::scan_number(text.substr(slash + 1));
  if (!above || !below || below.value <= 0) return std::nullopt;
  return above.value / below.value;
}

// "3/8", "1 1/4", "1-1/4", "0.375", "2" in inches; a number size only through the table.
std::optional<double> inches(std::string_view size) {
  if (const text::NumberScan whole = text::scan_number(size)) return whole.value;
  if (const auto plain = fraction(size)) return plain;
  const std::size_t gap = size.find_first_of(" -");
  if (gap == std::string_view::npos) return std::nullopt;
  const text::NumberScan whole = text::scan_number(size.substr(0, gap));
  const auto part = fraction(trim(size.substr(gap + 1)));
  if (!whole || !part || *part >= 1) return std::nullopt;
  return whole.value + *part;
}

const UnifiedRow* find_row(std::string_view size, std::optional<double> diameter) {
  for (const UnifiedRow& row : unified_table()) {
    if (row.size == size || (diameter && same(row.diameter, *diameter))) return &row;
  }
  return nullptr;
}

double threads_in(const UnifiedRow& row, std::string_view series) {
  if (series == "UNC") return row.coarse;
  if (series == "UNF") return row.fine;
  if (series == "UNEF") return row.extra_fine;
  return 0;
}

std::string_view series_of(const UnifiedRow& row, double threads) {
  constexpr std::array<std::string_view, 3> kSeries = {"UNC", "UNF", "UNEF"};
  for (const std::string_view series : kSeries) {
    if (threads_in(row, series) > 0 && same(threads_in(row, series), threads)) return series;
  }
  return "";
}

std::string usual_threads(const UnifiedRow& row) {
  std::vector<double> threads;
  for (const double t : {row.coarse, row.fine, row.extra_fine}) {
    if (t > 0) threads.push_back(t);
  }
  return fmt::format("{} in usually has {} threads per inch", row.size, list_numbers(threads));
}

struct UnifiedWords {
  std::string_view size;
  std::string_view threads;  // empty when left out
  std::string_view series;   // empty when left out
};

UnifiedWords split_unified(std::string_view text) {
  for (const std::string_view tolerance : {"-1A", "-2A", "-3A", "-1B", "-2B", "-3B"}) {
    if (take_suffix(text, tolerance)) break;
  }
  UnifiedWords words{};
  for (const std::string_view series : {"UNEF", "UNC", "UNF", "UNS", "UN"}) {
    if (take_suffix(text, series)) {
      words.series = series;
      break;
    }
  }
  const std::size_t dash = text.rfind('-');
  const bool counted = dash != std::string_view::npos && text.find('/', dash) == std::string_view::npos;
  words.size = trim(counted ? text.substr(0, dash) : text);
  if (counted) words.threads = trim(text.substr(dash + 1));
  return words;
}

Found<NamedThread> find_unified(std::string_view given, std::string_view text, Hand hand) {
  const UnifiedWords words = split_unified(text);
  const std::optional<double> size = inches(words.size);
  const UnifiedRow* row = find_row(words.size, size);
  if (row == nullptr && !size) return unknown(given);
  const double diameter = row != nullptr ? row->diameter : *size;
  const bool named_series = words.series == "UNC" || words.series == "UNF" || words.series == "UNEF";
  const double of_series = row != nullptr ? threads_in(*row, words.series) : 0;
  double threads = of_series;
  if (words.threads.empty()) {
    if (threads == 0) return unknown(given);
  } else {
    const text::NumberScan count = text::scan_number(words.threads);
    if (!count) return unknown(given);
    threads = count.value;
    if (named_series && row != nullptr && !same(of_series, threads)) {
      return NotFound{fmt::format("'{}' contradicts itself", given),
                      of_series > 0 ? fmt::format("{} {} has {} threads per inch", row->size, words.series,
                                                  text::shortest(of_series))
                                    : usual_threads(*row)};
    }
  }
  if (!(diameter >= 0.05 && diameter <= 6)) {
    // "10-24" is how those write the number size who leave out its sign.
    const UnifiedRow* number = find_row(fmt::format("#{}", words.size), std::nullopt);
    if (number == nullptr) return unknown(given);
    return NotFound{fmt::format("'{}' is not a thread", given), fmt::format("did you mean #{}", text)};
  }
  if (!(threads >= 0.5 && threads <= 500 && 1 / threads <= diameter / 2)) {
    return NotFound{
        fmt::format("{} threads per inch do not fit {} in", text::shortest(threads), words.size),
        row != nullptr ? usual_threads(*row) : "at most 500, and a pitch of at most half of the diameter"};
  }
  const std::string_view standard = row != nullptr ? series_of(*row, threads) : "";
  const std::string shown(row != nullptr ? row->size : words.size);
  NamedThread out{
      with_hand(fmt::format("{}-{} {}", shown, text::shortest(threads), standard.empty() ? "UNS" : standard),
                hand),
      Thread::unified(units::of(diameter, units::inch), threads, hand), !standard.empty()};
  if (!out.standard) out.note = row != nullptr ? usual_threads(*row) : shown + " in is not a standard size";
  return out;
}

}  // namespace

Found<NamedThread> find_thread(std::string_view designation) {
  if (designation.size() > 64) return NotFound{"that is no thread", "write for example M10x1.25"};
  const std::string plain = replace_all(replace_all(designation, kNoBreakSpace, " "), kTimes, "x");
  std::string_view text = trim(plain);
  const Hand hand = take_suffix(text, "-LH") ? Hand::left : Hand::right;
  if (text.empty()) return unknown(designation);
  if (text.front() == 'M') return find_metric(designation, trim(text.substr(1)), hand);
  if (text.front() == '#' || (text.front() >= '0' && text.front() <= '9'))
    return find_unified(designation, text, hand);
  return unknown(designation);
}

}  // namespace clampbook::joint
