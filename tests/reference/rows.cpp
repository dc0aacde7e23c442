#include "tests/reference/rows.h"

#include <clampbook/text/number.h>

#include <cmath>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace reference {

namespace {

// Fields of a CSV text with quotes and doubled quotes; no field holds a line break.
std::vector<std::string> split(const std::string& line) {
  std::vector<std::string> out(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (c == '"') {
      if (quoted && i + 1 < line.size() && line[i + 1] == '"') {
        out.back() += line[++i];
      } else {
        quoted = !quoted;
      }
    } else if (c == ',' && !quoted) {
      out.emplace_back();
    } else {
      out.back() += c;
    }
  }
  return out;
}

double number_of(const std::string& text) {
  const clampbook::text::NumberScan scan = clampbook::text::scan_number(text);
  if (!scan) throw std::runtime_error("not a number: " + text);
  return scan.value;
}

std::vector<Row> read_rows() {
  std::ifstream file(CLAMPBOOK_SOURCE_DIR "/tests/reference/values.csv");
  std::string line;
  if (!std::getline(file, line)) throw std::runtime_error("tests/reference/values.csv cannot be read");
  std::vector<Row> rows;
  while (std::getline(file, line)) {
    const std::vector<std::string> fields = split(line);
    if (fields.size() != 10) throw std::runtime_error("not ten fields: " + line);
    const auto inputs = clampbook::text::parse_json(fields[3].empty() ? "{}" : fields[3]);
    if (!inputs) throw std::runtime_error("inputs are no JSON: " + line);
    rows.push_back(
        Row{fields[0], fields[1], fields[2], *inputs, fields[4], fields[5], fields[6], fields[7], fields[8]});
  }
  return rows;
}

}  // namespace

std::string Row::fn() const {
  return text("fn");
}

double Row::number() const {
  return number_of(value);
}

double Row::operator()(const char* argument) const {
  const clampbook::text::Json* found = inputs.find(argument);
  const std::optional<double> number = found != nullptr ? found->as_number() : std::nullopt;
  if (!number) throw std::runtime_error(id + " has no argument " + argument);
  return *number;
}

double Row::operator()(const char* argument, double otherwise) const {
  return inputs.find(argument) == nullptr ? otherwise : (*this)(argument);
}

std::string Row::text(const char* argument) const {
  const clampbook::text::Json* found = inputs.find(argument);
  const std::string* text = found != nullptr ? found->as_string() : nullptr;
  return text != nullptr ? *text : std::string();
}

double Row::allowed() const {
  if (tolerance == "exact") return 1e-12 * std::abs(number());
  const double amount = number_of(tolerance.substr(4));
  return tolerance[0] == 'r' ? amount * std::abs(number()) : amount;
}

bool Row::met_by(double computed) const {
  if (!std::isfinite(computed)) return false;
  // A value that the tolerance just admits is not lost to the rounding of the subtraction.
  return std::abs(computed - number()) <= allowed() + 1e-14 * std::abs(number());
}

const std::vector<Row>& all_rows() {
  static const std::vector<Row> rows = read_rows();
  return rows;
}

}  // namespace reference
