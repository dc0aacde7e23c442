// The command line as a table: each verb declares its operands and options once, and parsing, help,
// completion and the tests of the manual all read that table. The only door to CLI11; every value stays
// text, so that numbers are read by the same strict scan as in files.
#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::cli {

struct Operand {
  std::string_view name;  ///< e.g. "FILE"
  std::string_view help;
  bool required = true;
  bool repeated = false;
};

struct Option {
  std::string_view name;   ///< e.g. "--only"
  std::string_view value;  ///< e.g. "BOLTS"; empty for a flag
  std::string_view help;
};

struct VerbSpec {
  std::string_view name;
  std::string_view summary;  ///< one line
  std::vector<Operand> operands{};
  std::vector<Option> options{};
  std::vector<std::string_view> examples{};  ///< whole command lines
};

/// The options that every verb takes, before or after it.
[[nodiscard]] std::span<const Option> global_options();

class Arguments {
 public:
  [[nodiscard]] bool has(std::string_view option) const { return options_.contains(option); }
  /// The value of an option, or nothing.
  [[nodiscard]] std::optional<std::string> value(std::string_view option) const;
  /// The operand of that name, or nothing.
  [[nodiscard]] std::optional<std::string> operand(std::string_view name) const;
  [[nodiscard]] std::vector<std::string> operands(std::string_view name) const;
  /// For calls that do not come from a command line.
  void set_option(std::string_view name, std::string value) {
    options_[std::string(name)] = std::move(value);
  }
  void set_operand(std::string_view name, std::string value) {
    operands_[std::string(name)] = {std::move(value)};
  }
  /// Everything that was given, by name.
  [[nodiscard]] const std::map<std::string, std::string, std::less<>>& all_options() const {
    return options_;
  }
  [[nodiscard]] const std::map<std::string, std::vector<std::string>, std::less<>>& all_operands() const {
    return operands_;
  }

 private:
  friend Arguments parse_arguments(const VerbSpec& verb, const std::vector<std::string>& words);
  std::map<std::string, std::string, std::less<>> options_;
  std::map<std::string, std::vector<std::string>, std::less<>> operands_;
};

/// Throws UsageError: bad-option, missing-argument.
[[nodiscard]] Arguments parse_arguments(const VerbSpec& verb, const std::vector<std::string>& words);

/// A name and what it means, on a screen of 80 columns; the meaning begins at `column`.
[[nodiscard]] std::string help_row(std::string_view left, std::string_view right, std::size_t column);
inline constexpr std::size_t kHelpColumn = 29;

/// The help screen of one verb.
[[nodiscard]] std::string help_text(const VerbSpec& verb);

}  // namespace clampbook::cli
