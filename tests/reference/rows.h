// The published and computed check values of values.csv: id, topic, quantity, inputs (JSON: `fn` and
// arguments), value, unit, tolerance (abs:x, rel:x or exact), source, how_known, note.
#pragma once

#include <clampbook/text/json.h>

#include <string>
#include <vector>

namespace reference {

struct Row {
  std::string id;
  std::string topic;
  std::string quantity;
  clampbook::text::Json inputs;
  std::string value;
  std::string unit;
  std::string tolerance;
  std::string source;
  std::string how_known;  ///< seen, memory or computed-from-definition

  /// The name of the computation, or empty for a tabulated value.
  [[nodiscard]] std::string fn() const;
  [[nodiscard]] double number() const;  ///< `value` as a number; the test fails when it is none
  /// An argument; the test fails when it is missing.
  [[nodiscard]] double operator()(const char* argument) const;
  /// An argument, or `otherwise` when it is left out.
  [[nodiscard]] double operator()(const char* argument, double otherwise) const;
  [[nodiscard]] std::string text(const char* argument) const;  ///< or empty
  /// How far `computed` may lie from the value, in its unit.
  [[nodiscard]] double allowed() const;
  /// Whether `computed` lies within the row's tolerance of its value.
  [[nodiscard]] bool met_by(double computed) const;
};

[[nodiscard]] const std::vector<Row>& all_rows();

}  // namespace reference
