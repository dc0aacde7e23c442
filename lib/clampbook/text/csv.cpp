#include <clampbook/text/csv.h>
#include <clampbook/text/utf8.h>

#include <istream>

namespace clampbook::text {

namespace {

enum class Scan { row, unfinished, fault };

// Splits one or more lines; `unfinished` when a quoted field goes on beyond them.
Scan split(std::string_view text, std::vector<std::string>& fields, std::string& fault) {
  fields.assign(1, {});
  std::size_t at = 0;
  while (at < text.size()) {
    if (text[at] == '"' && fields.back().empty()) {
      for (++at;; ++at) {
        if (at >= text.size()) return Scan::unfinished;
        if (text[at] != '"') {
          fields.back().push_back(text[at]);
        } else if (at + 1 < text.size() && text[at + 1] == '"') {
          fields.back().push_back(text[++at]);
        } else {
          break;
        }
      }
      if (++at < text.size() && text[at] != ',') {
        fault = "something follows a closing quote";
        return Scan::fault;
      }
    } else if (text[at] != ',') {
      fields.back().push_back(text[at++]);
      continue;
    }
    if (at < text.size() && text[at] == ',') {
      fields.emplace_back();
      ++at;
    }
  }
  return Scan::row;
}

}  // namespace

// Of an endless line no more than shows that it is too long.
bool CsvReader::read_line(std::string& line) {
  in_.getline(buffer_.data(), static_cast<std::streamsize>(buffer_.size()));
  const auto got = static_cast<std::size_t>(in_.gcount());
  if (got == 0 || in_.bad()) return false;
  const bool ended = !in_.eof() && !in_.fail();
  line.assign(buffer_, 0, got - (ended ? 1 : 0));
  return true;
}

std::optional<std::vector<std::string>> CsvReader::next() {
  fault_.clear();
  std::string row, line;
  std::vector<std::string> fields;
  while (read_line(line)) {
    ++line_;
    if (line_ == 1 && line.starts_with("\xEF\xBB\xBF")) line.erase(0, 3);
    if (!line.empty() && line.back() == '\r') line.pop_back();
    const bool inside = !row.empty();  // a quote is open
    if (inside) {
      row += "\n" + line;
    } else {
      row_line_ = line_;
      if (line.find_first_not_of(" \t") == std::string::npos) continue;
      row = line;
    }
    if (row.size() > kLongestRow) {
      fault_ = "the row is too long";
      return std::nullopt;
    }
    if (first_invalid_utf8(line)) {
      fault_ = "the row is not UTF-8 text";
      return std::nullopt;
    }
    if (inside && line.find('"') == std::string::npos) continue;  // no need to split it all again
    const Scan scan = split(row, fields, fault_);
    if (scan == Scan::fault) return std::nullopt;
    if (scan == Scan::row) return fields;
  }
  if (in_.bad()) {
    fault_ = "cannot be read to its end";
  } else if (!row.empty()) {
    fault_ = "a quote is opened and never closed";
  }
  return std::nullopt;
}

namespace {

// Apostrophes count as part of the front, so that every text reads back as it was; and a line feed, which is
// what a carriage return in front of one reads back as.
bool like_a_formula(std::string_view text) {
  const std::size_t first = text.find_first_not_of('\'');
  return first != std::string_view::npos &&
         std::string_view("=+-@\t\r\n").find(text[first]) != std::string_view::npos;
}

}  // namespace

std::string csv_field(std::string_view text) {
  const std::string front = like_a_formula(text) ? "'" : "";
  if (text.find_first_of(",\"\n\r") == std::string_view::npos) return front + std::string(text);
  std::string out = "\"" + front;
  for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

std::string csv_row(std::span<const std::string> fields) {
  std::string out;
  for (const std::string& field : fields) {
    if (&field != fields.data()) out += ",";
    out += csv_field(field);
  }
  return out + "\n";
}

std::string from_spreadsheet(std::string_view field) {
  if (field.starts_with('\'') && like_a_formula(field)) field.remove_prefix(1);
  return std::string(field);
}

}  // namespace clampbook::text
