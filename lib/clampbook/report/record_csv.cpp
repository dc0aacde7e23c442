#include <clampbook/report/record_csv.h>
#include <clampbook/text/csv.h>
#include <clampbook/text/number.h>

#include <fmt/format.h>

#include <unordered_map>

namespace clampbook::report {

using plan::Step;

namespace {

// One row; the columns in the order of the head.
struct Row {
  std::string line, at, kind, stage, step, bolt, label, value, unit, low, high, also, also_unit, counts,
      findings, tool, by, note, because;
};

constexpr std::string_view kHead =
    "line,at,kind,stage,step,bolt,label,value,unit,low,high,also,also_unit,counts,findings,tool,by,note,"
    "because\n";

// Figures stand as they are, words as text.
void append(std::string& out, const Row& row) {
  for (const std::string* field : {&row.line, &row.at, &row.kind, &row.stage, &row.step})
    (out += *field) += ',';
  (out += text::csv_field(row.bolt)) += ',';
  out += text::csv_field(row.label);
  for (const std::string* field :
       {&row.value, &row.unit, &row.low, &row.high, &row.also, &row.also_unit, &row.counts, &row.findings})
    (out += ',') += *field;
  for (const std::string* words : {&row.tool, &row.by, &row.note, &row.because})
    (out += ',') += text::csv_field(*words);
  out += "\n";
}

// The figures of a step in the unit in which the value stands.
void describe(Row& row, const Step& step, const units::Unit* unit) {
  row.stage = fmt::format("{}", step.stage);
  row.step = fmt::format("{}", step.step);
  row.bolt = step.bolt.value_or("");
  row.label = step.label.value_or("");
  const auto& bound = step.high ? step.high : step.low;
  if (!bound) return;
  if (unit == nullptr || unit->dimension != bound->dimension()) unit = &bound->unit();
  if (row.unit.empty()) row.unit = unit->spelling;
  if (row.unit != unit->spelling) return;  // the value is of another dimension
  if (step.low) row.low = units::significant(step.low->in(*unit), 9);
  if (step.high) row.high = units::significant(step.high->in(*unit), 9);
}

void read(Row& row, const review::Entry& entry) {
  if (entry.value) {
    row.value = units::significant(entry.value->number(), 12);
    row.unit = entry.value->unit().spelling;
  } else if (entry.count) {
    row.value = text::shortest(*entry.count);
  } else {
    row.value = "done";
  }
  if (entry.also) {
    row.also = units::significant(entry.also->number(), 12);
    row.also_unit = entry.also->unit().spelling;
  }
  row.counts = entry.voided_by || entry.past_piece ? "no" : "yes";
}

}  // namespace

std::string record_csv(const Record& record) {
  std::unordered_map<std::int64_t, std::string> by_line;
  std::unordered_map<int, std::string> by_step;
  for (const review::Finding& f : record.findings) {
    std::string* slugs = f.seq ? &by_line[*f.seq] : f.step ? &by_step[*f.step] : nullptr;
    if (slugs != nullptr) *slugs += (slugs->empty() ? "" : " ") + f.slug + (f.accepted ? " (accepted)" : "");
  }
  const review::Progress progress(record.pass);
  std::string out(kHead);
  for (const record::Event& event : record.book.events) {
    if (event.pass() != record.pass.number || event.kind() == "planned") continue;
    Row row;
    row.line = fmt::format("{}", event.seq);
    row.at = record::to_string(event.at);
    row.kind = event.kind();
    if (const review::Entry* entry = review::entry_on(record.pass, event.seq)) {
      read(row, *entry);
      row.tool = entry->tool;
      if (const Step* step = progress.find(entry->step))
        describe(row, *step, entry->value ? &entry->value->unit() : nullptr);
    } else if (const record::Place* place = record::place_of(event.line)) {
      row.bolt = place->bolt.value_or("");
    }
    row.findings = by_line[event.seq];
    row.by = event.remarks->by.value_or("");
    row.note = event.remarks->note.value_or("");
    row.because = event.remarks->because.value_or("");
    append(out, row);
  }
  for (const Step& step : record.pass.plan.steps) {
    if (progress.filled(step.step)) continue;
    Row row;
    row.kind = schedule::name(step.kind);
    describe(row, step, nullptr);
    row.findings = by_step[step.step];
    append(out, row);
  }
  return out;
}

}  // namespace clampbook::report
