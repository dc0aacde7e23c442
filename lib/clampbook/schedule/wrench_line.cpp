#include <clampbook/schedule/wrench_line.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <optional>

namespace clampbook::schedule {

using units::Dimension;
using units::Measured;
using units::Unit;

namespace {

struct Unreadable {
  std::string why;
  std::string_view slug{"unreadable"};
};

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

bool is_space(char c) {
  return c == ' ' || c == '\t';
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_space(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_space(text.back())) text.remove_suffix(1);
  return text;
}

// As UTF-8 without control characters.
std::string readable(std::string_view line) {
  std::string out;
  if (!text::first_invalid_utf8(line)) {
    out = line;
  } else {
    for (const char c : line) {
      const auto byte = static_cast<unsigned char>(c);
      if (byte == 0xB0) {
        out += "°";
      } else if (byte == 0xB7) {
        out += "·";
      } else if (byte < 0x80) {
        out.push_back(c);
      } else {
        throw Unreadable{"it holds bytes that are no text"};
      }
    }
  }
  std::replace(out.begin(), out.end(), '\t', ' ');
  if (text::printable(out) != out) throw Unreadable{"it holds bytes that are no text"};
  return out;
}

// Digits as a device sends them: a sign, zeros in front, its own decimal sign.
std::optional<double> take_number(std::string_view& text, DecimalSign decimal) {
  const char point = decimal == DecimalSign::comma ? ',' : '.';
  std::string number;
  std::size_t at = 0;
  if (at < text.size() && (text[at] == '+' || text[at] == '-')) {
    if (text[at] == '-') number.push_back('-');
    ++at;
  }
  const std::size_t first = at;
  while (at < text.size() && is_digit(text[at])) ++at;
  if (at == first) return std::nullopt;
  std::string_view whole = text.substr(first, at - first);
  while (whole.size() > 1 && whole.front() == '0') whole.remove_prefix(1);
  number += whole;
  if (at + 1 < text.size() && text[at] == point && is_digit(text[at + 1])) {
    number.push_back('.');
    for (++at; at < text.size() && is_digit(text[at]); ++at) number.push_back(text[at]);
  }
  const text::NumberScan scan = text::scan_number(number);
  if (!scan) return std::nullopt;
  text.remove_prefix(at);
  return scan.value;
}

Measured measured(double number, const Unit& unit) {
  if (number < 0) throw Unreadable{"it is below zero; readings count in the tightening direction"};
  return {number, unit};
}

// The unit at the front of what follows a number, and past it; nullptr when no unit word stands there.
const Unit* take_unit(std::string_view& text) {
  const std::string probe = "1" + std::string(text);
  const units::MeasuredScan scan = units::scan_measured(probe);
  if (!scan || scan.unit == nullptr || scan.number_end != 1) return nullptr;  // the number goes on
  text.remove_prefix(scan.end - 1);
  return scan.unit;
}

// --- without a template

// A word in front of the figure: "Peak: 30.1 N·m". Digits in it could be the figure itself.
std::string_view behind_label(std::string_view line) {
  std::size_t at = 0;
  while (at < line.size() && !is_digit(line[at]) && line[at] != '+' && line[at] != '-') ++at;
  if (at == 0) return line;
  const char last = line[at - 1];
  if (at == line.size()) throw Unreadable{"it holds no number"};
  if (last != ' ' && last != ':' && last != '=') throw Unreadable{"something touches the number"};
  const auto fits = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == ' ' || c == ':' || c == '=' || c == '_';
  };
  if (!std::all_of(line.begin(), line.begin() + static_cast<std::ptrdiff_t>(at), fits))
    throw Unreadable{"what stands before the number is no word"};
  return line.substr(at);
}

// Tells of a number like 1.2.3, which would otherwise be told as something that follows 1.2.
void refuse_second_point(std::string_view line) {
  for (std::size_t at = 0; at < line.size(); ++at) {
    if (!is_digit(line[at]) || (at > 0 && (is_digit(line[at - 1]) || line[at - 1] == '.'))) continue;
    const text::NumberScan scan = text::scan_number_prefix(line.substr(at));
    if (scan.fault != text::NumberFault::second_point) continue;
    const std::string_view written = line.substr(at, scan.length);
    throw Unreadable{
        fmt::format("{}; {}", text::describe(scan.fault, written), text::suggest(scan.fault, written)),
        text::slug(scan.fault)};
  }
}

Measured take_first(std::string_view& rest, const TorqueWrench& tool, const Unit* bare) {
  const auto number = take_number(rest, tool.decimal);
  if (!number) throw Unreadable{"it holds no number"};
  const Unit* unit = take_unit(rest);
  if (unit == nullptr && rest.size() > 1 && (rest[0] == ',' || rest[0] == '.') && is_digit(rest[1]))
    throw Unreadable{"a comma or a point stands between digits: the tool list's decimal: says what it means"};
  if (unit == nullptr) unit = bare;
  if (unit == nullptr) throw Unreadable{"its number has no unit"};
  return measured(*number, *unit);
}

std::optional<Measured> take_second(std::string_view& rest, const TorqueWrench& tool) {
  const bool parted = !rest.empty() && (is_space(rest[0]) || rest[0] == ',' || rest[0] == ';');
  rest = trimmed(rest);
  if (rest.empty()) return std::nullopt;
  if (rest[0] == ',' || rest[0] == ';') rest = trimmed(rest.substr(1));
  const auto number = parted ? take_number(rest, tool.decimal) : std::nullopt;
  if (!number) throw Unreadable{"something follows the figure"};
  const Unit* unit = take_unit(rest);
  if (unit == nullptr) throw Unreadable{"its second number has no unit"};
  return measured(*number, *unit);
}

std::vector<Measured> read_plain(std::string_view line, const TorqueWrench& tool, const Unit* bare) {
  if (tool.decimal == DecimalSign::point) refuse_second_point(line);
  std::string_view rest = behind_label(line);
  std::vector<Measured> out{take_first(rest, tool, bare)};
  if (const auto second = take_second(rest, tool)) {
    if (second->dimension() == out.front().dimension()) throw Unreadable{"it holds two figures of one kind"};
    out.push_back(*second);
  }
  if (!trimmed(rest).empty()) throw Unreadable{"something follows the figures"};
  return out;
}

// --- by a template

struct Part {
  enum class Kind { sign, torque, angle, skip };
  Kind kind;
  std::string_view text{};  // of a sign
};

std::vector<Part> parts_of(std::string_view line) {
  std::vector<Part> out;
  for (std::size_t at = 0; at < line.size();) {
    const std::size_t open = std::min(line.find('{', at), line.size());
    if (open > at) out.push_back({Part::Kind::sign, line.substr(at, open - at)});
    if (open == line.size()) break;
    const std::size_t close = line.find('}', open);
    const std::string_view word = line.substr(open + 1, close - open - 1);
    out.push_back({word == "torque"  ? Part::Kind::torque
                   : word == "angle" ? Part::Kind::angle
                                     : Part::Kind::skip});
    at = close + 1;
  }
  return out;
}

// Between two {skip}s the parts stand without a gap: the earliest place where all of them fit leaves the most
// to those that follow, so that nothing is ever tried twice.
class Matcher {
 public:
  Matcher(const std::vector<Part>& parts, const TorqueWrench& tool) : parts_(parts), tool_(tool) {}

  bool match(std::string_view text) {
    bool anywhere = false;  // a {skip} stands in front
    for (std::size_t from = 0; from <= parts_.size();) {
      std::size_t to = from;
      while (to < parts_.size() && parts_[to].kind != Part::Kind::skip) ++to;
      const bool last = to == parts_.size();
      if (last && anywhere && from == to) return true;
      if (!match_run(from, to, text, anywhere, last)) return false;
      anywhere = true;
      from = to + 1;
    }
    return true;
  }

  [[nodiscard]] std::vector<Measured> values() const {
    std::vector<Measured> out;
    for (const auto* value : {&torque_, &angle_})
      if (*value) out.push_back(**value);
    return out;
  }

 private:
  bool match_run(std::size_t from, std::size_t to, std::string_view& text, bool anywhere, bool to_the_end) {
    for (std::size_t skipped = 0; skipped <= (anywhere ? text.size() : 0); ++skipped) {
      std::string_view rest = text.substr(skipped);
      if (!match_parts(from, to, rest) || (to_the_end && !trimmed(rest).empty())) continue;
      text = rest;
      return true;
    }
    return false;
  }

  bool match_parts(std::size_t from, std::size_t to, std::string_view& rest) {
    for (std::size_t part = from; part < to; ++part) {
      const std::string_view sign = parts_[part].text;
      if (parts_[part].kind != Part::Kind::sign) {
        if (!match_number(part, rest)) return false;
      } else if (rest.starts_with(sign)) {
        rest.remove_prefix(sign.size());
      } else {
        return false;
      }
    }
    return true;
  }

  bool match_number(std::size_t part, std::string_view& rest) {
    while (!rest.empty() && is_space(rest.front())) rest.remove_prefix(1);
    const auto number = take_number(rest, tool_.decimal);
    if (!number) return false;
    const bool torque = parts_[part].kind == Part::Kind::torque;
    const Dimension wanted = torque ? Dimension::torque : Dimension::angle;
    const Unit* unit = torque ? tool_.unit : &units::degree_unit();
    if (part + 1 < parts_.size()) {
      std::string_view sign = parts_[part + 1].text;
      if (const Unit* written = take_unit(sign); written != nullptr && written->dimension == wanted)
        unit = written;
    }
    if (unit == nullptr) throw Unreadable{"neither line: nor unit: says in which unit its torque is"};
    (torque ? torque_ : angle_) = Measured(*number, *unit);
    return true;
  }

  const std::vector<Part>& parts_;
  const TorqueWrench& tool_;
  std::optional<Measured> torque_, angle_;
};

std::vector<Measured> read_by_template(std::string_view line, const TorqueWrench& tool) {
  const std::vector<Part> parts = parts_of(tool.line);
  Matcher matcher(parts, tool);
  if (!matcher.match(line)) {
    if (tool.decimal == DecimalSign::point) refuse_second_point(line);
    throw Unreadable{fmt::format("it is not as line: says, {}", text::printable(tool.line))};
  }
  std::vector<Measured> out = matcher.values();
  for (const Measured& value : out) static_cast<void>(measured(value.number(), value.unit()));
  return out;
}

}  // namespace

WrenchLine read_wrench_line(std::string_view line, const TorqueWrench& tool, const Unit* bare) {
  try {
    const std::string text = readable(line);
    if (trimmed(text).empty()) return {WrenchLine::Kind::ignored};
    if (!tool.ignore.empty() && std::string_view(text).starts_with(tool.ignore))
      return {WrenchLine::Kind::ignored};
    return {WrenchLine::Kind::reading,
            tool.line.empty() ? read_plain(trimmed(text), tool, bare) : read_by_template(text, tool)};
  } catch (const Unreadable& e) {
    return {WrenchLine::Kind::unreadable, {}, e.why, e.slug};
  }
}

}  // namespace clampbook::schedule
