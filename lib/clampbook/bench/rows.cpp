#include <clampbook/bench/rows.h>
#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <algorithm>
#include <istream>

namespace clampbook::bench {

namespace {

[[noreturn]] void bad(const std::string& file, std::string message, std::string help) {
  text::Diagnostic d{"bad-csv", std::move(message), std::move(help)};
  d.file = file;
  throw InputError(std::move(d));
}

[[noreturn]] void bad_row(std::string message, std::string help) {
  throw InputError(text::Diagnostic{"bad-csv", std::move(message), std::move(help)});
}

// Which column each field of a row belongs to.
std::vector<Column> columns_of(const std::vector<std::string>& header, const std::string& file) {
  std::vector<Column> out;
  for (const std::string& word : header) {
    const auto* const found = std::find(kColumnNames.begin(), kColumnNames.end(), word);
    if (found == kColumnNames.end()) {
      std::string help = text::did_you_mean(word, kColumnNames);
      bad(file, fmt::format("there is no column '{}'", word),
          help.empty() ? "known: " + text::list_words(kColumnNames, "and") : help);
    }
    const auto column = static_cast<Column>(found - kColumnNames.begin());
    if (std::find(out.begin(), out.end(), column) != out.end())
      bad(file, fmt::format("the column '{}' stands twice", word), "");
    out.push_back(column);
  }
  for (const Column needed : {Column::bolt, Column::value})
    if (std::find(out.begin(), out.end(), needed) == out.end())
      bad(file, fmt::format("there is no column '{}'", name(needed)), "the first line is: bolt,value,...");
  return out;
}

// The step that the row names; nullptr when it names none.
const plan::Step* step_of(const Row& row, const review::Pass& pass) {
  if (row[Column::step].empty()) return nullptr;
  const text::NumberScan number = text::scan_number(row[Column::step]);
  const bool in_range =
      number && number.value >= 1 && number.value <= static_cast<double>(schedule::kMostSteps);
  const plan::Step* found =
      in_range ? review::Progress(pass, true).find(static_cast<int>(number.value)) : nullptr;
  if (found == nullptr || found->step != number.value)
    bad_row(fmt::format("pass {} has no step {}", pass.number, row[Column::step]),
            "is this the table of another schedule, or of more bolts?");
  const std::string stage = std::to_string(found->stage);
  const std::string& said = row[Column::stage];
  if (found->bolt.value_or("") != row[Column::bolt] || (!said.empty() && said != stage))
    bad_row(fmt::format("step {} of pass {} is stage {}{}, not what the row says", found->step, pass.number,
                        stage, found->bolt ? ", bolt " + *found->bolt : ", a gate"),
            "is this the table of another schedule?");
  return found;
}

// The gate that the row names by its step, else the due one.
const plan::Step& gate_of(const plan::Step* named, const review::Pass& pass) {
  if (named != nullptr) return *named;
  const review::Progress progress(pass);
  const std::vector<plan::Step>& steps = pass.plan.steps;
  const auto due = std::find_if(steps.begin(), steps.end(),
                                [&](const plan::Step& s) { return s.is_gate() && !progress.filled(s.step); });
  if (due == steps.end())
    throw InputError(text::Diagnostic{"nothing-due", "there is no gate left", "name the bolt"});
  return *due;
}

// The kind of its gate says what the value is.
void fill_gate(EntryRequest& out, const Row& row, const plan::Step* named, const plan::Step& gate) {
  const std::string& value = row[Column::value];
  if (gate.kind == plan::StageKind::count) {
    out.count = Word{"--count", value};
  } else if (gate.kind == plan::StageKind::measure) {
    out.measure = Word{"--measure", value};
  } else if (value == "done") {
    out.tick = true;
  } else {
    bad_row(fmt::format("the {} gate (step {}, {}) takes the value 'done'",
                        named != nullptr ? "row's" : "due", gate.step, gate.text),
            "");
  }
  if (gate.label) out.label = Word{"--label", *gate.label};
}

}  // namespace

bool Row::is_empty() const {
  if (!(*this)[Column::value].empty()) return false;
  for (const Column column : {Column::also, Column::at, Column::note})
    if (!(*this)[column].empty())
      bad_row(fmt::format("the row has something in '{}' but no value", name(column)),
              "write the value, or clear the field; clampbook amend BOOK --note TEXT keeps a note by itself");
  return true;
}

RowReader::RowReader(std::istream& in, const std::string& file) : in_(in), csv_(in) {
  const auto header = csv_.next();
  if (in_.bad()) {
    text::Diagnostic d{"unreadable-file", csv_.fault(), ""};
    d.file = file;
    throw InputError(std::move(d));
  }
  if (!header)
    bad(file, csv_.fault().empty() ? "the file is empty" : csv_.fault(),
        "the first line is: bolt,value,also,stage,at,tool,key,note (the last six as needed); clampbook plan "
        "FILE --csv prints one");
  columns_ = columns_of(*header, file);
}

std::optional<Row> RowReader::next() {
  const auto fields = csv_.next();
  if (!fields && csv_.fault().empty()) return std::nullopt;
  if (!fields)
    throw InputError(text::Diagnostic{in_.bad() ? "unreadable-file" : "bad-csv", csv_.fault(), ""});
  if (fields->size() > columns_.size())
    bad_row(fmt::format("{} fields where the first line has {}", fields->size(), columns_.size()),
            "put a field that holds a comma into quotes");
  Row out;
  for (std::size_t i = 0; i < fields->size(); ++i) out[columns_[i]] = text::from_spreadsheet((*fields)[i]);
  return out;
}

EntryRequest request_of(const Row& row, const review::Pass& pass) {
  const auto word = [&](Column column) {
    const std::string& field = row[column];
    return field.empty() ? std::nullopt : std::optional(Word{"--" + std::string(name(column)), field});
  };
  EntryRequest out;
  out.also = word(Column::also);
  out.stage = word(Column::stage);
  out.at = word(Column::at);
  out.tool = word(Column::tool);
  out.key = word(Column::key);
  if (const auto note = word(Column::note)) out.words.note = note->text;
  const plan::Step* named = step_of(row, pass);
  if (named != nullptr) {
    out.step = named->step;
    out.stage = Word{"--stage", std::to_string(named->stage)};
  }
  if (row[Column::bolt].empty()) {
    fill_gate(out, row, named, gate_of(named, pass));
  } else {
    out.bolt = Word{"BOLT", row[Column::bolt]};
    out.value = Word{"VALUE", row[Column::value]};
  }
  return out;
}

}  // namespace clampbook::bench
