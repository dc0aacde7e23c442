#include <clampbook/bench/entry_value.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <algorithm>
#include <vector>

namespace clampbook::bench {

using plan::StageKind;
using plan::Step;
using units::Dimension;
using units::Measured;

namespace {

[[noreturn]] void refuse(const text::SourcePtr& source, std::string slug, std::string message,
                         std::string help, std::size_t at, std::size_t length) {
  throw InputError(text::Diagnostic{std::move(slug), std::move(message), std::move(help),
                                    text::Location{source, at, std::max<std::size_t>(length, 1)}});
}

[[noreturn]] void refuse_whole(const text::SourcePtr& source, std::string slug, std::string message,
                               std::string help) {
  refuse(source, std::move(slug), std::move(message), std::move(help), 0, source->text().size());
}

struct Stroke {
  double number;
  const units::Unit* unit;
  std::size_t at, length;
};

// The strokes between plus signs. A sign after an exponent's e belongs to its number.
std::vector<Stroke> strokes(const text::SourcePtr& source) {
  std::vector<Stroke> out;
  const std::string_view text = source->text();
  for (std::size_t at = 0;;) {
    const units::MeasuredScan scan = units::scan_measured(text, at);
    if (!scan)
      refuse(source, std::string(scan.slug), scan.message, scan.help, scan.fault_at, scan.fault_length);
    out.push_back({scan.number, scan.unit, scan.number_at, scan.end - scan.number_at});
    std::size_t next = scan.end;
    while (next < text.size() && text[next] == ' ') ++next;
    if (next == text.size()) return out;
    if (text[next] != '+')
      refuse(source, "bad-number", fmt::format("'{}' is not understood", text.substr(next)),
             "a value is written like 30.1 N·m, strokes like 25+20+15deg", next, text.size() - next);
    at = next + 1;
  }
}

Measured sum_of(const text::SourcePtr& source, const units::Unit* fallback) {
  std::vector<Stroke> all = strokes(source);
  const units::Unit* last = all.back().unit != nullptr ? all.back().unit : fallback;
  if (last == nullptr) {
    const Stroke& s = all.back();
    refuse(source, "missing-unit", fmt::format("{} has no unit", source->text().substr(s.at, s.length)),
           fmt::format("put the unit after the number, for example: {} N·m or {} ft-lb; nothing was recorded",
                       source->text(), source->text()),
           s.at, s.length);
  }
  double sum = 0;
  for (Stroke& stroke : all) {
    if (stroke.unit == nullptr) stroke.unit = last;
    if (stroke.unit->dimension != last->dimension)
      refuse(source, "wrong-dimension", "the strokes are of different kinds", "", stroke.at, stroke.length);
    if (stroke.number < 0)
      refuse(source, "out-of-domain", "a reading is not below zero",
             "readings count in the tightening direction", stroke.at, stroke.length);
    sum += Measured(stroke.number, *stroke.unit).in(*last);
  }
  if (all.size() > 1 && last->dimension == Dimension::torque)
    refuse_whole(
        source, "wrong-shape", "torques do not add up: the last stroke alone says what was reached",
        fmt::format(
            "only angles and lengths are joined by a plus sign; for example: {}; nothing was recorded",
            source->text().substr(all.back().at)));
  return {sum, *last};
}

std::string wanted(const Step& step) {
  const auto dimension = step.reading_dimension();
  return dimension ? units::with_article(*dimension) : std::string("the word done");
}

}  // namespace

EntryValue read_entry_value(const text::SourcePtr& source, const units::Unit* fallback) {
  if (source->text() == "click") return {EntryValue::Kind::click, {}, source};
  if (source->text() == "done") return {EntryValue::Kind::done, {}, source};
  return {EntryValue::Kind::quantity, sum_of(source, fallback), source};
}

Measured read_quantity(const text::SourcePtr& source) {
  return sum_of(source, nullptr);
}

std::optional<Measured> value_for(const EntryValue& value, const Step& step) {
  const auto dimension = step.reading_dimension();
  if (value.kind == EntryValue::Kind::done) {
    if (!dimension || step.kind == StageKind::loosen) return std::nullopt;
    refuse_whole(value.source, "wrong-dimension",
                 fmt::format("step {} ({}) wants {}", step.step, step.text, wanted(step)),
                 "'done' is for what is done by hand and for loosening; nothing was recorded");
  }
  if (value.kind == EntryValue::Kind::click) {
    if (dimension == Dimension::torque && step.target && step.target->dimension() == Dimension::torque)
      return step.target;
    refuse_whole(value.source, "wrong-dimension",
                 fmt::format("step {} ({}) wants {}", step.step, step.text, wanted(step)),
                 "'click' is for a torque that was set on the wrench; nothing was recorded");
  }
  if (dimension != value.quantity->dimension()) {
    refuse_whole(
        value.source, "wrong-dimension",
        fmt::format("{} is {}, but step {} ({}) wants {}", value.source->text(),
                    units::with_article(value.quantity->dimension()), step.step, step.text, wanted(step)),
        "name another stage with --stage, or give the companion reading with --also; nothing was recorded");
  }
  return value.quantity;
}

std::optional<Dimension> companion_dimension(const Step& step) {
  const auto dimension = step.reading_dimension();
  if (!dimension) return std::nullopt;
  return *dimension == Dimension::torque ? Dimension::angle : Dimension::torque;
}

}  // namespace clampbook::bench
