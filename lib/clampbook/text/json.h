// JSON: an ordered value, written with the shortest digits that read back, read strictly.
// The only door to nlohmann's reader, whose header is dear to compile and whose own writer prints some
// doubles longer than needed and NaN as null (docs/decisions say more).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace clampbook::text {

class Json {
 public:
  using Array = std::vector<Json>;
  using Object = std::vector<std::pair<std::string, Json>>;

  Json() = default;
  // Assigned, not copied: where memory ends in the middle of copying a variant of vectors, gcc 12's library
  // destroys what was never made.
  Json(const Json& other) { *this = other; }
  Json(Json&&) noexcept = default;
  Json& operator=(const Json&) = default;
  Json& operator=(Json&&) noexcept = default;
  ~Json() = default;
  Json(std::nullptr_t) {}                                        // NOLINT(google-explicit-constructor)
  Json(bool b) : value_(b) {}                                    // NOLINT(google-explicit-constructor)
  Json(std::int64_t n) : value_(n) {}                            // NOLINT(google-explicit-constructor)
  Json(int n) : value_(static_cast<std::int64_t>(n)) {}          // NOLINT(google-explicit-constructor)
  Json(std::size_t n) : value_(static_cast<std::int64_t>(n)) {}  // NOLINT(google-explicit-constructor)
  Json(double x) : value_(x) {}                                  // NOLINT(google-explicit-constructor)
  Json(std::string s) : value_(std::move(s)) {}                  // NOLINT(google-explicit-constructor)
  Json(std::string_view s) : value_(std::string(s)) {}           // NOLINT(google-explicit-constructor)
  Json(const char* s) : value_(std::string(s)) {}                // NOLINT(google-explicit-constructor)
  template <class T>
  Json(const std::optional<T>& v) {  // NOLINT(google-explicit-constructor)
    if (v) *this = Json(*v);
  }
  [[nodiscard]] static Json object() { return Json(Object{}); }
  [[nodiscard]] static Json array() { return Json(Array{}); }

  /// Appends a member; keys keep the order in which they were set. For objects, else throws
  /// std::bad_variant_access. The caller sets no key twice: nothing looks for it. A chain that starts with a
  /// temporary stays one, so that what it builds is moved and never copied.
  Json& set(std::string_view key, Json value) &;
  Json&& set(std::string_view key, Json value) &&;
  /// Appends an element. For arrays, else throws std::bad_variant_access.
  Json& push(Json value);

  [[nodiscard]] bool is_null() const { return std::holds_alternative<std::nullptr_t>(value_); }
  [[nodiscard]] const bool* as_bool() const { return std::get_if<bool>(&value_); }
  [[nodiscard]] const std::int64_t* as_integer() const { return std::get_if<std::int64_t>(&value_); }
  [[nodiscard]] const std::string* as_string() const { return std::get_if<std::string>(&value_); }
  [[nodiscard]] const Array* as_array() const { return std::get_if<Array>(&value_); }
  [[nodiscard]] const Object* as_object() const { return std::get_if<Object>(&value_); }
  [[nodiscard]] Array* as_array() { return std::get_if<Array>(&value_); }
  [[nodiscard]] Object* as_object() { return std::get_if<Object>(&value_); }
  /// An integer or a double, as a double.
  [[nodiscard]] std::optional<double> as_number() const;
  /// The member of that name, or nullptr (also when this is no object).
  [[nodiscard]] const Json* find(std::string_view key) const;

  /// One line, no spaces. Throws std::logic_error on a number that is not finite.
  [[nodiscard]] std::string dump() const;
  void dump_to(std::string& out) const;

  /// Member by member, in their order; an integer never equals a real number.
  [[nodiscard]] friend bool operator==(const Json& a, const Json& b) { return a.value_ == b.value_; }

 private:
  explicit Json(Array a) : value_(std::move(a)) {}
  explicit Json(Object o) : value_(std::move(o)) {}
  std::variant<std::nullptr_t, bool, std::int64_t, double, std::string, Array, Object> value_ = nullptr;
};

/// Looks members up in the order in which they usually stand: each search begins behind the last find.
class JsonMembers {
 public:
  /// Of `object`, which must outlive this; no members when it is none.
  explicit JsonMembers(const Json& object) : members_(object.as_object()) {}

  [[nodiscard]] const Json* find(std::string_view key);

 private:
  const Json::Object* members_;
  std::size_t next_ = 0;
};

/// Strict: one value, valid UTF-8, no duplicate keys, nesting up to 64, numbers finite.
/// Nothing when `text` is not such a value; `why`, if given, then says so.
[[nodiscard]] std::optional<Json> parse_json(std::string_view text, std::string* why = nullptr);

/// The shortest digits that read back; a whole number keeps its ".0", so that it stays a real number.
/// Throws std::logic_error when `x` is not finite.
void append_json_number(std::string& out, double x);

/// `text` as a JSON string with its quotes. Invalid UTF-8 becomes U+FFFD.
void append_json_string(std::string& out, std::string_view text);

}  // namespace clampbook::text
