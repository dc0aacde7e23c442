#include <clampbook/text/json.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <array>
#include <charconv>
#include <cmath>
#include <stdexcept>

namespace clampbook::text {

namespace {

constexpr std::size_t kUsualMembers = 13;  // room from the start for what most objects hold
constexpr std::size_t kDeepest = 64;       // arrays and objects within each other

}  // namespace

Json& Json::set(std::string_view key, Json value) & {
  auto& members = std::get<Object>(value_);
  if (members.empty()) members.reserve(kUsualMembers);
  members.emplace_back(key, std::move(value));
  return *this;
}

Json&& Json::set(std::string_view key, Json value) && {
  return std::move(set(key, std::move(value)));
}

Json& Json::push(Json value) {
  std::get<Array>(value_).push_back(std::move(value));
  return *this;
}

std::optional<double> Json::as_number() const {
  if (const auto* n = std::get_if<std::int64_t>(&value_)) return static_cast<double>(*n);
  if (const auto* x = std::get_if<double>(&value_)) return *x;
  return std::nullopt;
}

const Json* Json::find(std::string_view key) const {
  if (const Object* members = as_object()) {
    for (const auto& [name, value] : *members)
      if (name == key) return &value;
  }
  return nullptr;
}

const Json* JsonMembers::find(std::string_view key) {
  if (members_ == nullptr) return nullptr;
  const std::size_t count = members_->size();
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t at = next_ + i < count ? next_ + i : next_ + i - count;
    if ((*members_)[at].first != key) continue;
    next_ = at + 1 < count ? at + 1 : 0;
    return &(*members_)[at].second;
  }
  return nullptr;
}

void append_json_string(std::string& out, std::string_view text) {
  out.push_back('"');
  std::size_t plain = 0;  // bytes since this one can be copied as they are
  const auto flush = [&](std::size_t end) { out.append(text.substr(plain, end - plain)); };
  const bool valid = !first_invalid_utf8(text);
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto c = static_cast<unsigned char>(text[i]);
    if (c >= 0x20 && c != '"' && c != '\\' && (c < 0x7F || (c > 0x7F && valid))) continue;
    flush(i);
    if (c == '"') {
      out += "\\\"";
    } else if (c == '\\') {
      out += "\\\\";
    } else if (c == '\n') {
      out += "\\n";
    } else if (c == '\t') {
      out += "\\t";
    } else if (c == '\r') {
      out += "\\r";
    } else if (c < 0x80) {
      out += fmt::format("\\u{:04x}", c);
    } else {
      std::string_view rest = text.substr(i);
      append_character(out, take_character(rest));
      i = text.size() - rest.size() - 1;
    }
    plain = i + 1;
  }
  flush(text.size());
  out.push_back('"');
}

void append_json_number(std::string& out, double x) {
  if (!std::isfinite(x)) throw std::logic_error("a number that is not finite was about to be written");
  std::array<char, 40> buffer;  // NOLINT(cppcoreguidelines-pro-type-member-init): written before it is read
  const auto written = std::to_chars(buffer.data(), buffer.data() + buffer.size(), x);
  const std::string_view digits(buffer.data(), static_cast<std::size_t>(written.ptr - buffer.data()));
  out += digits;
  if (digits.find_first_of(".e") == std::string_view::npos) out += ".0";
}

namespace {

struct Writer {
  std::string& out;

  void operator()(std::nullptr_t) const { out += "null"; }
  void operator()(bool b) const { out += b ? "true" : "false"; }
  void operator()(std::int64_t n) const { out += fmt::format_int(n).c_str(); }
  void operator()(double x) const { append_json_number(out, x); }
  void operator()(const std::string& s) const { append_json_string(out, s); }
  void operator()(const Json::Array& elements) const {
    char before = '[';
    for (const Json& element : elements) {
      out.push_back(std::exchange(before, ','));
      element.dump_to(out);
    }
    if (before == '[') out.push_back('[');
    out.push_back(']');
  }
  void operator()(const Json::Object& members) const {
    char before = '{';
    for (const auto& [key, value] : members) {
      out.push_back(std::exchange(before, ','));
      append_json_string(out, key);
      out.push_back(':');
      value.dump_to(out);
    }
    if (before == '{') out.push_back('{');
    out.push_back('}');
  }
};

// What books and machine output are made of, at a third of the time: no space between tokens, strings without
// escapes, numbers without exponents. It gives up at anything else, faulty or not, for the strict reader to
// judge; so it accepts nothing that the strict reader does not, and has no faults to tell.
class PlainReader {
 public:
  explicit PlainReader(std::string_view text) : at_(text.data()), end_(text.data() + text.size()) {}

  std::optional<Json> read() {
    Json out;
    if (!value(out, 0) || at_ != end_) return std::nullopt;
    return out;
  }

 private:
  [[nodiscard]] bool next_is(char c) const { return at_ != end_ && *at_ == c; }
  [[nodiscard]] bool next_is_digit() const { return at_ != end_ && *at_ >= '0' && *at_ <= '9'; }
  bool take(char c) {
    if (!next_is(c)) return false;
    ++at_;
    return true;
  }
  bool take(std::string_view word) {
    if (!std::string_view(at_, static_cast<std::size_t>(end_ - at_)).starts_with(word)) return false;
    at_ += word.size();
    return true;
  }

  bool value(Json& out, std::size_t depth) {
    if (at_ == end_) return false;
    switch (*at_) {
      case '{':
        return depth < kDeepest && object(out, depth);
      case '[':
        return depth < kDeepest && array(out, depth);
      case '"': {
        std::string_view text;
        if (!string(text)) return false;
        out = Json(text);
        return true;
      }
      case 'n':
        return take("null");
      case 't':
        out = Json(true);
        return take("true");
      case 'f':
        out = Json(false);
        return take("false");
      default:
        return number(out);
    }
  }

  bool object(Json& out, std::size_t depth) {
    ++at_;
    out = Json::object();
    if (take('}')) return true;
    Json::Object& members = *out.as_object();
    members.reserve(room_);
    do {
      std::string_view key;
      if (!string(key) || !take(':') || out.find(key) != nullptr) return false;
      if (!value(members.emplace_back(key, Json()).second, depth + 1)) return false;
    } while (take(','));
    room_ = members.size();
    return take('}');
  }

  bool array(Json& out, std::size_t depth) {
    ++at_;
    out = Json::array();
    if (take(']')) return true;
    Json::Array& elements = *out.as_array();
    do {
      if (!value(elements.emplace_back(), depth + 1)) return false;
    } while (take(','));
    return take(']');
  }

  bool string(std::string_view& out) {
    if (!take('"')) return false;
    const char* const first = at_;
    unsigned char all = 0;
    for (; at_ != end_ && *at_ != '"'; ++at_) {
      const auto c = static_cast<unsigned char>(*at_);
      if (c < 0x20 || c == '\\') return false;
      all |= c;
    }
    out = {first, static_cast<std::size_t>(at_ - first)};
    return take('"') && (all < 0x80 || !first_invalid_utf8(out));
  }

  // An exponent is not looked for: whoever asked for the value finds no comma or bracket behind it.
  bool number(Json& out) {
    const char* const first = at_;
    const bool minus = take('-');
    const char* const digits = at_;
    while (next_is_digit()) ++at_;
    const auto count = at_ - digits;
    if (count == 0 || count > kSafeDigits || (*digits == '0' && count > 1)) return false;
    if (!take('.')) {
      std::int64_t n = 0;
      std::from_chars(first, at_, n);
      out = Json(n);
      return !minus || n != 0;
    }
    if (!next_is_digit()) return false;
    while (next_is_digit()) ++at_;
    double x = 0;
    if (std::from_chars(first, at_, x).ec != std::errc()) return false;
    out = Json(x);
    return true;
  }

  static constexpr std::ptrdiff_t kSafeDigits = 18;  // in 64 bits

  const char* at_;
  const char* end_;
  std::size_t room_ = kUsualMembers;  // what the last object held: the next one is often alike
};

// Builds the tree from nlohmann's events, so that duplicates and depth are seen as they come.
class TreeBuilder : public nlohmann::json_sax<nlohmann::json> {
 public:
  [[nodiscard]] Json take() { return std::move(root_); }
  [[nodiscard]] const std::string& why() const { return why_; }

  bool null() override { return place(Json()); }
  bool boolean(bool b) override { return place(b); }
  bool number_integer(number_integer_t n) override { return place(static_cast<std::int64_t>(n)); }
  bool number_unsigned(number_unsigned_t n) override {
    if (n > static_cast<number_unsigned_t>(INT64_MAX)) return place(static_cast<double>(n));
    return place(static_cast<std::int64_t>(n));
  }
  bool number_float(number_float_t x, const string_t&) override {
    if (!std::isfinite(x)) return refuse("a number is too large");
    return place(x);
  }
  bool string(string_t& s) override { return place(std::move(s)); }
  bool binary(binary_t&) override { return refuse("binary data"); }
  bool start_object(std::size_t) override { return open(Json::object()); }
  bool end_object() override { return close(); }
  bool start_array(std::size_t) override { return open(Json::array()); }
  bool end_array() override { return close(); }
  bool key(string_t& name) override {
    if (open_.back().find(name) != nullptr) return refuse("the key '" + name + "' stands twice");
    keys_.back() = std::move(name);
    return true;
  }
  bool parse_error(std::size_t, const std::string&, const nlohmann::json::exception& e) override {
    return refuse(e.what());
  }

 private:
  bool refuse(std::string why) {
    why_ = std::move(why);
    return false;
  }
  // Made where it will stay: a book has millions of values.
  template <class Value>
  bool place(Value&& value) {
    if (open_.empty()) {
      root_ = Json(std::forward<Value>(value));
    } else if (Json::Object* members = open_.back().as_object()) {
      if (members->empty()) members->reserve(kUsualMembers);
      members->emplace_back(std::move(keys_.back()), std::forward<Value>(value));
    } else {
      open_.back().as_array()->emplace_back(std::forward<Value>(value));
    }
    return true;
  }
  bool open(Json container) {
    if (open_.size() == kDeepest) return refuse("nested too deep");
    open_.push_back(std::move(container));
    keys_.emplace_back();
    return true;
  }
  bool close() {
    Json done = std::move(open_.back());
    open_.pop_back();
    keys_.pop_back();
    return place(std::move(done));
  }

  Json root_;
  std::vector<Json> open_;
  std::vector<std::string> keys_;
  std::string why_;
};

}  // namespace

void Json::dump_to(std::string& out) const {
  std::visit(Writer{out}, value_);
}

std::string Json::dump() const {
  std::string out;
  dump_to(out);
  return out;
}

std::optional<Json> parse_json(std::string_view text, std::string* why) {
  if (auto plain = PlainReader(text).read()) return plain;
  TreeBuilder builder;
  if (nlohmann::json::sax_parse(text.begin(), text.end(), &builder)) return builder.take();
  if (why != nullptr) *why = printable(builder.why());  // it quotes the text
  return std::nullopt;
}

}  // namespace clampbook::text
