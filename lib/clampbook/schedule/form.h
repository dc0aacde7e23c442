// Reading a mapping key by key: what is asked for is known, what is left over is an error with the likely
// word. Every reader of this room is written with these few calls, so that all files complain alike.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/schedule/target.h>
#include <clampbook/schedule/yaml_tree.h>

#include <algorithm>
#include <cstdint>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::schedule {

/// The source that is read and the problems found so far.
struct Reading {
  text::SourcePtr source;
  text::Diagnostics& out;

  void error(std::string_view slug, std::string message, const text::Location& at,
             std::string help = {}) const {
    out.add({std::string(slug), std::move(message), std::move(help), at});
  }
  /// A word that is none of `words`, with the nearest of them as help.
  void unknown_word(std::string_view what, std::string_view word, const text::Location& at,
                    const std::vector<std::string_view>& words, std::string_view slug = "unknown-word") const;
};

class Form {
 public:
  /// `what` names the mapping in messages: "a stage", "fastener 'case-bolt'". Reports wrong-shape when
  /// `node` is no mapping; every key is then absent.
  Form(const YamlNode& node, std::string what, const Reading& reading);

  [[nodiscard]] bool is_map() const { return is_map_; }
  /// The value of `key`, or nullptr when it is absent.
  [[nodiscard]] const YamlNode* take(std::string_view key);
  /// The same, and reports missing-key when it is absent.
  [[nodiscard]] const YamlNode* need(std::string_view key);
  [[nodiscard]] bool has(std::string_view key) const;
  /// True for a key that was asked for, there or not.
  [[nodiscard]] bool asked(std::string_view key) const {
    return std::find(asked_.begin(), asked_.end(), key) != asked_.end();
  }
  [[nodiscard]] text::Location key_at(std::string_view key) const;
  /// Reports every key that was never asked for as unknown-key.
  void finish() const;
  [[nodiscard]] const Reading& reading() const { return reading_; }
  [[nodiscard]] const std::string& what() const { return what_; }
  [[nodiscard]] const text::Location& at() const { return node_.at; }

  // Values; each reports what is wrong and then answers with nothing.
  [[nodiscard]] std::string text_or_empty(std::string_view key);
  [[nodiscard]] std::optional<units::Measured> measured(std::string_view key, units::Dimension dimension,
                                                        bool zero_allowed = false);
  [[nodiscard]] std::optional<bool> truth(std::string_view key);

 private:
  const YamlNode& node_;
  std::string what_;
  const Reading& reading_;
  bool is_map_;
  std::vector<std::string_view> asked_{};
};

/// The text of a scalar; reports wrong-shape otherwise. `what` is e.g. "the title".
[[nodiscard]] std::optional<std::string> read_text(const YamlNode& node, std::string_view what,
                                                   const Reading& reading);
/// A quantity of the dimension, greater than zero (or not less, where zero is allowed).
[[nodiscard]] std::optional<units::Measured> read_measured(const YamlNode& node, std::string_view what,
                                                           units::Dimension dimension, const Reading& reading,
                                                           bool zero_allowed = false);
/// A quantity of the dimension of either sign: coordinates.
[[nodiscard]] std::optional<units::Measured> read_signed(const YamlNode& node, std::string_view what,
                                                         units::Dimension dimension, const Reading& reading);
/// A quantity of any dimension.
[[nodiscard]] std::optional<units::Measured> read_any(const YamlNode& node, std::string_view what,
                                                      const Reading& reading);
[[nodiscard]] std::optional<std::int64_t> read_count(const YamlNode& node, std::string_view what,
                                                     const Reading& reading);
[[nodiscard]] std::optional<Target> read_target(const YamlNode& node, std::string_view what,
                                                units::Dimension dimension, const Reading& reading);
/// The index of the scalar in `words`.
[[nodiscard]] std::optional<std::size_t> read_choice(const YamlNode& node, std::string_view what,
                                                     const std::vector<std::string_view>& words,
                                                     const Reading& reading);
/// One text, or a list of texts.
[[nodiscard]] std::vector<const YamlNode*> one_or_list(const YamlNode& node);

/// The file that every error belongs to when there is no better place: line 1.
[[nodiscard]] text::Location whole_file(const text::SourcePtr& source);

/// Checks the first key, `format: <kind> <version>`; reports wrong-format. False when the rest is not worth
/// reading.
[[nodiscard]] bool check_format(const YamlNode& root, std::string_view kind, const Reading& reading);

}  // namespace clampbook::schedule
