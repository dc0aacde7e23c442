#include <clampbook/text/diagnostic.h>
#include <clampbook/text/json.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

namespace clampbook::text {

namespace {

constexpr std::size_t kWidest = 100;  // characters of a source line that are shown
constexpr std::size_t kBefore = 60;   // ... of them at most before the caret

// A line that a terminal can show: tabs as one space, controls as U+FFFD.
std::string visible(std::string_view line) {
  std::string tabless(line);
  std::replace(tabless.begin(), tabless.end(), '\t', ' ');
  return printable(tabless);
}

std::string_view drop_characters(std::string_view text, std::size_t n) {
  for (; n > 0 && !text.empty(); --n) static_cast<void>(take_character(text));
  return text;
}

std::string_view keep_characters(std::string_view text, std::size_t n) {
  return text.substr(0, text.size() - drop_characters(text, n).size());
}

// The line with its number and the caret below. A very long line is cut on both sides.
std::string excerpt(const Location& at) {
  const Source& source = *at.source;
  const Place place = source.place(at.offset);
  std::string_view line = source.line_at(at.offset);
  const std::size_t start = std::min(at.offset - source.line_start(at.offset), line.size());
  std::string_view before = line.substr(0, start);
  std::string_view rest = line.substr(start);
  const std::string_view marked = rest.substr(0, std::min(at.length, rest.size()));

  std::string prefix;
  const std::size_t ahead = count_characters(before);
  if (ahead > kBefore) {
    before = drop_characters(before, ahead - kBefore);
    prefix = "...";
  }
  std::string suffix;
  if (count_characters(rest) > kWidest - kBefore) {
    rest = keep_characters(rest, kWidest - kBefore);
    suffix = "...";
  }
  const std::string shown_before = prefix + visible(before);
  const std::size_t carets = std::clamp<std::size_t>(display_width(visible(marked)), 1,
                                                     std::max<std::size_t>(display_width(rest), 1));
  const std::string indent(display_width(shown_before), ' ');
  if (source.kind() == Source::Kind::argument) {
    const std::string lead = "  " + source.name() + ": ";
    return fmt::format("{}{}{}{}\n{}{}{}\n", lead, shown_before, visible(rest), suffix,
                       std::string(display_width(lead), ' '), indent, std::string(carets, '^'));
  }
  return fmt::format("{:>5} | {}{}{}\n      | {}{}\n", place.line, shown_before, visible(rest), suffix,
                     indent, std::string(carets, '^'));
}

std::string where(const Location& at) {
  if (at.source->kind() == Source::Kind::argument) return {};
  const Place place = at.source->place(at.offset);
  return fmt::format("{}:{}:{}: ", visible(at.source->name()), place.line, place.column);
}

}  // namespace

std::string render(const Diagnostic& d) {
  std::string out;
  if (d.at) {
    out = where(*d.at);
  } else if (!d.file.empty()) {
    out = visible(d.file) + ": ";
  }
  out += fmt::format("error: {} [{}]\n", visible(d.message), d.slug);
  if (d.at) out += excerpt(*d.at);
  if (d.also) out += "   " + where(*d.also) + d.also_says + "\n" + excerpt(*d.also);
  if (!d.help.empty()) out += fmt::format("   help: {}\n", visible(d.help));
  return out;
}

Json to_json(const Diagnostic& d) {
  const auto file_of = [](const Location& at) -> Json {
    if (at.source->kind() == Source::Kind::argument) return nullptr;
    return at.source->name();
  };
  const auto number = [](std::size_t n) { return Json(static_cast<std::int64_t>(n)); };
  Json out = Json::object();
  out.set("slug", d.slug).set("text", d.message);
  if (d.at) {
    const Place place = d.at->source->place(d.at->offset);
    out.set("file", file_of(*d.at)).set("line", number(place.line)).set("column", number(place.column));
  } else {
    out.set("file", d.file.empty() ? Json() : Json(d.file)).set("line", nullptr).set("column", nullptr);
  }
  out.set("help", d.help.empty() ? Json() : Json(d.help));
  if (d.also) {
    const Place place = d.also->source->place(d.also->offset);
    out.set("also", Json::object()
                        .set("file", file_of(*d.also))
                        .set("line", number(place.line))
                        .set("column", number(place.column)));
  } else {
    out.set("also", nullptr);
  }
  return out;
}

std::vector<Diagnostic> Diagnostics::take(std::size_t& more) {
  std::map<const Source*, std::size_t> files;
  for (const Diagnostic& d : items_) files.try_emplace(d.at ? d.at->source.get() : nullptr, files.size());
  const auto place = [&](const Diagnostic& d) {
    return std::make_pair(files.at(d.at ? d.at->source.get() : nullptr), d.at ? d.at->offset : 0);
  };
  std::stable_sort(items_.begin(), items_.end(),
                   [&](const Diagnostic& a, const Diagnostic& b) { return place(a) < place(b); });
  more = std::exchange(cut_, 0);
  if (items_.size() > kMost) {
    more += items_.size() - kMost;
    items_.erase(items_.begin() + kMost, items_.end());
  }
  return std::exchange(items_, {});
}

}  // namespace clampbook::text
