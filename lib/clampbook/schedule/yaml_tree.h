// A YAML document as a tree with the place of every key and value. The only door to yaml-cpp, which is
// used by its event interface: its own tree accepts duplicate keys, unclosed quotes and second documents
// in silence (docs/decisions say more).
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/text/diagnostic.h>

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace clampbook::schedule {

struct YamlMember;

struct YamlNode {
  enum class Kind { null, scalar, sequence, map };
  Kind kind = Kind::null;
  bool plain = false;  ///< a scalar without quotes
  std::string scalar{};
  text::Location at{};              ///< of an empty value: its key
  std::vector<YamlNode> items{};    ///< of a sequence
  std::vector<YamlMember> members;  ///< of a map, in file order

  /// "a list", "a mapping", "a text", "empty"
  [[nodiscard]] std::string_view shape() const;
  /// The place of `length` bytes at `offset` of the scalar's text; the whole scalar when the text does not
  /// stand in the file as it is (folded or with escapes).
  [[nodiscard]] text::Location part(std::size_t offset, std::size_t length) const;
};

struct YamlMember {
  std::string key;
  text::Location key_at;
  YamlNode value;
};

inline constexpr std::size_t kDeepest = 32;

/// Reads the one document of `source`. Problems go to `out` (syntax, not-utf8, too-large, too-deep,
/// second-document, unclosed-quote, alias, duplicate-key). Nothing when the text could not be read to its
/// end; after a duplicate key alone the tree holds the first of the two.
[[nodiscard]] std::optional<YamlNode> read_yaml(const text::SourcePtr& source, text::Diagnostics& out);

}  // namespace clampbook::schedule
