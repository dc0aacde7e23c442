#include <clampbook/record/book.h>
#include <clampbook/record/seal.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

namespace clampbook::record {

using text::Json;

std::optional<std::string> Event::text(std::string_view key) const {
  const Json* value = body.find(key);
  if (value == nullptr || value->as_string() == nullptr) return std::nullopt;
  return *value->as_string();
}

std::optional<std::int64_t> Event::integer(std::string_view key) const {
  const Json* value = body.find(key);
  if (value == nullptr || value->as_integer() == nullptr) return std::nullopt;
  return *value->as_integer();
}

std::optional<double> Event::number(std::string_view key) const {
  const Json* value = body.find(key);
  return value != nullptr ? value->as_number() : std::nullopt;
}

namespace {

[[noreturn]] void refuse(const std::string& name, std::string slug, std::string message, std::string help) {
  text::Diagnostic d{std::move(slug), std::move(message), std::move(help)};
  d.file = name;
  throw InputError(std::move(d));
}

class Reader {
 public:
  Reader(std::string_view bytes, const std::string& name) : bytes_(bytes), name_(name) {}

  Book read() {
    for (std::size_t at = 0; at < bytes_.size();) {
      const std::size_t feed = bytes_.find('\n', at);
      const std::size_t end = feed == std::string_view::npos ? bytes_.size() : feed;
      const bool complete = feed != std::string_view::npos;
      const std::string_view line = bytes_.substr(at, end - at);
      const bool holds = take_line(line);
      if (!complete) {
        book_.tail = line.size();
        book_.tail_holds = holds;
      }
      at = end + 1;
    }
    if (!any_) {
      // What an interrupted creation leaves is the front of a first line, or nothing; it is a book without events.
      const std::string_view front = std::string_view("{\"format\":\"clampbook book ").substr(0, bytes_.size());
      if (bytes_.substr(0, front.size()) != front)
        refuse(name_, "not-a-book", "is not a book", "clampbook begin BOOK FILE makes one");
    }
    return std::move(book_);
  }

 private:
  bool take_line(std::string_view line) {
    const std::int64_t seq = book_.lines++;
    std::string why;
    const bool holds = accept(line, seq, why);
    if (holds) {
      previous_holds_ = true;
    } else {
      book_.damages.push_back({seq, false, std::move(why)});
      previous_holds_ = false;
      bad_length_ = line.size();
    }
    return holds;
  }

  bool accept(std::string_view line, std::int64_t seq, std::string& why) {
    const auto seal = verified_seal(line);
    if (!seal) {
      why = "its seal does not hold";
      return false;
    }
    std::optional<Json> body = text::parse_json(line);
    if (!body) {
      why = "it is not JSON";
      return false;
    }
    if (seq == 0) return accept_first(*body, *seal, why);
    Event event;
    event.body = std::move(*body);
    event.seq = event.integer("seq").value_or(-1);
    const auto written = parse_timestamp(event.text("written").value_or(""));
    const auto at = parse_timestamp(event.text("at").value_or(""));
    const auto kind = event.text("kind");
    if (!written || !at || !kind) {
      why = "it lacks what every line has";
      return false;
    }
    if (event.seq != seq) {
      why = fmt::format("it says that it is line {}", event.seq);
      return false;
    }
    if (previous_holds_ && event.text("after") != book_.seal) {
      why = "it does not follow the line above it";
      return false;
    }
    if (const auto mends = event.integer("mends"); mends && !previous_holds_ && !book_.damages.empty() &&
                                                   static_cast<std::size_t>(*mends) == bad_length_) {
      book_.damages.back().torn = true;
      book_.damages.back().what = "an entry that was cut off while it was written";
    }
    event.written = *written;
    event.at = *at;
    event.kind = *kind;
    event.seal = std::string(*seal);
    book_.seal = event.seal;
    any_ = true;
    book_.events.push_back(std::move(event));
    return true;
  }

  bool accept_first(const Json& body, std::string_view seal, std::string& why) {
    const Json* format = body.find("format");
    const std::string* word = format != nullptr ? format->as_string() : nullptr;
    if (word == nullptr || !word->starts_with("clampbook book "))
      refuse(name_, "not-a-book", "is sealed, but is not a book", "clampbook begin BOOK FILE makes one");
    if (*word != kFormat)
      refuse(name_, "newer-format", fmt::format("is a {}; this program reads {}", *word, kFormat), "a newer program reads it");
    const Json* id = body.find("id");
    if (id == nullptr || id->as_string() == nullptr) {
      why = "it lacks what every first line has";
      return false;
    }
    book_.id = *id->as_string();
    book_.seal = std::string(seal);
    any_ = true;
    return true;
  }

  std::string_view bytes_;
  const std::string& name_;
  Book book_;
  bool any_ = false;
  bool previous_holds_ = false;
  std::size_t bad_length_ = 0;
};

}  // namespace

Book parse_book(std::string_view bytes, const std::string& name) { return Reader(bytes, name).read(); }

}  // namespace clampbook::record
