#include <clampbook/record/book.h>
#include <clampbook/record/book_reader.h>
#include <clampbook/record/seal.h>
#include <clampbook/record/torn.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace clampbook::record {

using text::Json;

namespace {

// What an interrupted creation leaves is the front of this, or nothing.
constexpr std::string_view kFirstLine = "{\"format\":\"clampbook book ";

[[noreturn]] void refuse(const std::string& name, std::string slug, std::string message, std::string help) {
  text::Diagnostic d{std::move(slug), std::move(message), std::move(help)};
  d.file = name;
  throw InputError(std::move(d));
}

Seal seal_from(std::string_view digits) {
  Seal out{};
  std::copy_n(digits.begin(), out.size(), out.begin());
  return out;
}

}  // namespace

void BookReader::feed(std::string_view block) {
  if (!any_ && front_.size() < kFirstLine.size())
    front_ += block.substr(0, kFirstLine.size() - front_.size());
  while (true) {
    const std::size_t feed = block.find('\n');
    if (feed == std::string_view::npos) break;
    const std::string_view part = block.substr(0, feed);
    block.remove_prefix(feed + 1);
    if (rest_.empty()) {
      take_line(part);
      offset_ += part.size() + 1;
    } else {
      rest_ += part;
      take_line(rest_);
      offset_ += rest_.size() + 1;
      rest_.clear();
    }
  }
  rest_ += block;
}

void BookReader::finish() {
  book_.open_end = !rest_.empty();
  if (book_.open_end) {
    take_line(rest_);
    offset_ += rest_.size();
    rest_.clear();
  }
  find_torn_end();
  if (any_) return;
  // An interrupted creation is a book without events.
  if (!kFirstLine.starts_with(front_))
    refuse(name_, "not-a-book", "is not a book", "clampbook begin BOOK FILE makes one");
}

void BookReader::take_line(std::string_view line) {
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
                                                        : accept_event(std::move(*body), *seal, line, why));
  if (!holds) {
    const std::int64_t seq = book_.lines++;
    book_.damages.push_back({seq, false, fmt::format("line {} does not count: {}", seq, why)});
    bad_.push_back({std::string(line), offset_});
  } else {
    bad_.clear();
  }
  any_ = any_ || holds;
}

bool BookReader::accept_event(Json body, std::string_view seal, std::string_view line, std::string& why) {
  Event event;
  std::string after;
  if (!read_event(std::move(body), event, after, why)) return false;
  const std::int64_t last = book_.events.empty() ? 0 : book_.events.back().seq;
  if (event.seq <= last) {
    why = fmt::format("it is line {} again, or out of its place", event.seq);
    return false;
  }
  check_place(event, after);
  event.seal = seal_from(seal);
  event.offset = offset_;
  event.length = static_cast<std::uint32_t>(line.size());
  book_.seal = seal;
  book_.lines = event.seq + 1;
  book_.events.push_back(std::move(event));
  return true;
}

// Below a damaged line the number is taken as it stands, because a lost or an added line feed shifts the
// count.
void BookReader::check_place(const Event& event, std::string_view after) {
  if (bad_.empty()) {
    if (event.seq > book_.lines)
      book_.damages.push_back(
          {book_.lines, false,
           fmt::format("line {} and what followed it up to line {} are missing", book_.lines, event.seq)});
    else if (after != book_.seal)
      book_.damages.push_back(
          {event.seq, false, fmt::format("line {} does not follow the line above it", event.seq)});
    return;
  }
  if (event.mends != 0) mend(event.mends);
}

// An append counts every byte below the last whole line, so that a cut-off append after a cut-off one is
// told too.
void BookReader::mend(std::int64_t bytes) {
  std::int64_t length = -1;
  for (std::size_t count = 1; count <= bad_.size() && length < bytes; ++count) {
    length += 1 + static_cast<std::int64_t>(bad_[bad_.size() - count].text.size());
    if (length == bytes) mark_torn(count);
  }
}

// At the end nobody has mended yet: an append was cut off there, or is under way.
void BookReader::find_torn_end() {
  const auto whole =
      std::find_if_not(bad_.rbegin(), bad_.rend(), [](const Bad& line) { return is_torn(line.text); });
  if (whole == bad_.rbegin()) return;
  const Bad &first = *(whole - 1), &last = bad_.back();
  book_.torn = last.offset + last.text.size() - first.offset;
  mark_torn(static_cast<std::size_t>(whole - bad_.rbegin()));
}

void BookReader::mark_torn(std::size_t count) {
  for (auto torn = book_.damages.end() - static_cast<std::ptrdiff_t>(count); torn != book_.damages.end();
       ++torn) {
    torn->torn = true;
    torn->what = fmt::format("line {} does not count: it was cut off while it was written", torn->seq);
  }
}

void BookReader::take_own(std::string id, std::vector<Event> events, std::uint64_t bytes) {
  book_.id = std::move(id);
  book_.lines = events.back().seq + 1;
  book_.seal = view(events.back().seal);
  for (Event& event : events) book_.events.push_back(std::move(event));
  book_.open_end = false;
  book_.torn = 0;
  bad_.clear();
  first_ = false;
  any_ = true;
  offset_ += bytes;
}

bool BookReader::accept_first(const Json& body, std::string_view seal, std::string& why) {
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

Book parse_book(std::string_view bytes, const std::string& name) {
  BookReader reader(name);
  reader.feed(bytes);
  reader.finish();
  return reader.take_book();
}

const Event* event_on(const Book& book, std::int64_t line) {
  const auto found = std::lower_bound(book.events.begin(), book.events.end(), line,
                                      [](const Event& e, std::int64_t n) { return e.seq < n; });
  return found != book.events.end() && found->seq == line ? &*found : nullptr;
}

}  // namespace clampbook::record
