#include <clampbook/record/book.h>
#include <clampbook/record/seal.h>
#include <clampbook/record/torn.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace clampbook::record {

using text::Json;

std::optional<std::string> Event::text(std::string_view key) const {
  const Json* value = body.find(key);
  if (value == nullptr || value->as_string() == nullptr) return std::nullopt;
  return *value->as_string();
}

std::string_view Event::view(std::string_view key) const {
  const Json* value = body.find(key);
  return value != nullptr && value->as_string() != nullptr ? *value->as_string() : std::string_view();
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
      const std::size_t end = std::min(feed, bytes_.size());
      const std::string_view line = bytes_.substr(at, end - at);
      take_line(line);
      book_.open_end = feed == std::string_view::npos;
      at = end + 1;
    }
    find_torn_end();
    if (!any_) {
      // What an interrupted creation leaves is the front of a first line, or nothing; it is a book without
      // events.
      const std::string_view front =
          std::string_view("{\"format\":\"clampbook book ").substr(0, bytes_.size());
      if (bytes_.substr(0, front.size()) != front)
        refuse(name_, "not-a-book", "is not a book", "clampbook begin BOOK FILE makes one");
    }
    return std::move(book_);
  }

 private:
  void take_line(std::string_view line) {
    std::string why;
    std::optional<Json> body;
    const auto seal = verified_seal(line);
    if (!seal) {
      why = "its seal does not hold";
    } else if (body = text::parse_json(line); !body) {
      why = "it is not JSON";
    }
    const bool first = std::exchange(first_, false);
    const bool holds =
        body && (first && body->find("format") != nullptr ? accept_first(*body, *seal, why)
                                                          : accept_event(std::move(*body), *seal, why));
    if (!holds) {
      const std::int64_t seq = book_.lines++;
      book_.damages.push_back({seq, false, fmt::format("line {} does not count: {}", seq, why)});
      bad_.push_back(line);
    } else {
      bad_.clear();
    }
    any_ = any_ || holds;
  }

  bool accept_event(Json body, std::string_view seal, std::string& why) {
    Event event;
    event.body = std::move(body);
    event.seq = event.integer("seq").value_or(-1);
    const auto written = parse_timestamp(event.view("written"));
    const auto at = parse_timestamp(event.view("at"));
    const std::string_view kind = event.view("kind");
    if (!written || !at || kind.empty() || event.seq < 1) {
      why = "it lacks what every line has";
      return false;
    }
    const std::int64_t last = book_.events.empty() ? 0 : book_.events.back().seq;
    if (event.seq <= last) {
      why = fmt::format("it is line {} again, or out of its place", event.seq);
      return false;
    }
    check_place(event);
    event.written = *written;
    event.at = *at;
    event.kind = kind;
    event.seal = std::string(seal);
    book_.seal = event.seal;
    book_.lines = event.seq + 1;
    book_.events.push_back(std::move(event));
    return true;
  }

  // Below a damaged line the number is taken as it stands, because a lost or an added line feed shifts the
  // count.
  void check_place(const Event& event) {
    if (bad_.empty()) {
      if (event.seq > book_.lines)
        book_.damages.push_back(
            {book_.lines, false,
             fmt::format("line {} and what followed it up to line {} are missing", book_.lines, event.seq)});
      else if (event.view("after") != book_.seal)
        book_.damages.push_back(
            {event.seq, false, fmt::format("line {} does not follow the line above it", event.seq)});
      return;
    }
    if (const auto mends = event.integer("mends")) mend(*mends);
  }

  // An append counts every byte below the last whole line, so that a cut-off append after a cut-off one is
  // told too.
  void mend(std::int64_t bytes) {
    std::int64_t length = -1;
    for (std::size_t count = 1; count <= bad_.size() && length < bytes; ++count) {
      length += 1 + static_cast<std::int64_t>(bad_[bad_.size() - count].size());
      if (length == bytes) mark_torn(count);
    }
  }

  // At the end nobody has mended yet: an append was cut off there, or is under way.
  void find_torn_end() {
    const auto whole = std::find_if_not(bad_.rbegin(), bad_.rend(), is_torn);
    if (whole == bad_.rbegin()) return;
    const std::string_view first = *(whole - 1), last = bad_.back();
    book_.torn = static_cast<std::size_t>(last.data() + last.size() - first.data());
    mark_torn(static_cast<std::size_t>(whole - bad_.rbegin()));
  }

  void mark_torn(std::size_t count) {
    for (auto torn = book_.damages.end() - static_cast<std::ptrdiff_t>(count); torn != book_.damages.end();
         ++torn) {
      torn->torn = true;
      torn->what = fmt::format("line {} does not count: it was cut off while it was written", torn->seq);
    }
  }

  bool accept_first(const Json& body, std::string_view seal, std::string& why) {
    const std::string* word = body.find("format")->as_string();
    if (word == nullptr || !word->starts_with("clampbook book "))
      refuse(name_, "not-a-book", "is sealed, but is not a book", "clampbook begin BOOK FILE makes one");
    if (*word != kFormat)
      refuse(name_, "newer-format", fmt::format("is a {}; this program reads {}", *word, kFormat),
             "a newer program reads it");
    const Json* id = body.find("id");
    if (id == nullptr || id->as_string() == nullptr) {
      why = "it lacks what every first line has";
      return false;
    }
    book_.id = *id->as_string();
    book_.seal = std::string(seal);
    book_.lines = 1;
    return true;
  }

  std::string_view bytes_;
  const std::string& name_;
  Book book_;
  bool first_ = true;
  bool any_ = false;
  std::vector<std::string_view> bad_;  // the lines that don't hold since the last one that does
};

}  // namespace

Book parse_book(std::string_view bytes, const std::string& name) {
  return Reader(bytes, name).read();
}

}  // namespace clampbook::record
