#include "cli/command.h"

#include <clampbook/record/book_file.h>
#include <clampbook/review/finding.h>
#include <clampbook/review/operation.h>
#include <clampbook/review/piece.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::cli {

namespace {

using review::Pass;
using review::Piece;
using text::Json;

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "history",
      "Passes, pieces and how often each was tightened, over one or many books.",
      {{"BOOK", "record files", true, true}},
      {},
      {"clampbook history casing.book", "clampbook history casing.book compressor.book --json",
       "clampbook history casing.book copy-of-casing.book"}};
  return kSpec;
}

struct ReadBook {
  std::string name;
  record::Book book;
  std::vector<Pass> passes{};
};

std::string state_of(const ReadBook& b, const Pass& pass, std::int64_t& faults) {
  const std::vector<review::Finding> findings =
      review::find_findings(b.book, b.passes, pass, review::Until::at_once);
  faults = std::count_if(findings.begin(), findings.end(), [](const review::Finding& f) {
    return f.severity == review::Severity::fault && !f.accepted;
  });
  if (pass.lost) return "lost";
  if (pass.abandoned) return "abandoned";
  return review::is_complete(pass, findings) ? "complete"
         : review::Progress(pass).complete() ? "faults open"
                                             : "open";
}

Json book_json(const ReadBook& b) {
  Json passes = Json::array(), pieces = Json::array();
  for (const Pass& pass : b.passes) {
    std::int64_t faults = 0;
    const std::string state = state_of(b, pass, faults);
    passes.push(Json::object()
                    .set("pass", pass.number)
                    .set("title", pass.lost ? Json() : Json(pass.title))
                    .set("trial", pass.trial)
                    .set("began", record::to_string(pass.began))
                    .set("ended", pass.ended ? Json(record::to_string(*pass.ended)) : Json())
                    .set("state", state)
                    .set("faults", faults)
                    .set("operation", pass.build ? Json(pass.build->operation) : Json()));
  }
  const review::Pieces met(b.passes);
  for (const Piece& piece : met.all())
    pieces.push(Json::object()
                    .set("bolt", piece.bolt)
                    .set("fastener", piece.fastener)
                    .set("fitted_seq", piece.fitted_seq)
                    .set("tightened", piece.tightened)
                    .set("past_yield", piece.past_yield)
                    .set("limit", piece.limit()));
  return Json::object().set("book", b.name).set("passes", std::move(passes)).set("pieces", std::move(pieces));
}

std::string listed(const std::vector<std::string>& names) {
  std::string out;
  for (const std::string& name : names) out += (out.empty() ? "" : ", ") + text::printable(name);
  return out.empty() ? "none" : out;
}

std::string book_text(const ReadBook& b) {
  std::string out = fmt::format("{}\n", text::printable(b.name));
  for (const Pass& pass : b.passes) {
    std::int64_t faults = 0;
    const std::string state = state_of(b, pass, faults);
    out +=
        fmt::format("  pass {}{}: {}{}, {} to {}: {}, {} {}\n", pass.number, pass.trial ? " (trial)" : "",
                    pass.build ? fmt::format("operation {}, ", text::printable(pass.build->operation)) : "",
                    pass.lost ? "its plan and its schedule are both damaged" : text::printable(pass.title),
                    record::to_string(pass.began), pass.ended ? record::to_string(*pass.ended) : "now", state,
                    faults, faults == 1 ? "fault" : "faults");
  }
  for (const review::BuildState& build : review::build_states(b.book, b.passes)) {
    out +=
        fmt::format("  {}: operations finished: {}\n", text::printable(build.title), listed(build.finished));
    out += fmt::format("  {}: operations open: {}\n", text::printable(build.title), listed(build.open));
  }
  const review::Pieces met(b.passes);
  for (const Piece& piece : met.all()) {
    out += fmt::format("  {}, bolt {} ({}), since line {}: tightened {}, past yield {}",
                       text::printable(piece.title), text::printable(piece.bolt),
                       text::printable(piece.fastener), piece.fitted_seq, piece.tightened, piece.past_yield);
    if (const auto limit = piece.limit())
      out += fmt::format(", {} allowed{}", *limit,
                         piece.tightened > *limit    ? ": over"
                         : piece.tightened == *limit ? ": reached"
                                                     : "");
    if (piece.free_measured > 1)
      out += fmt::format(", grown by {:.3f} mm", *piece.free_last - *piece.free_first);
    out += "\n";
  }
  return out;
}

// Two copies of one book that went on apart: the first line on which they differ.
std::string parting(const ReadBook& a, const ReadBook& b) {
  if (a.book.id.empty() || a.book.id != b.book.id) return {};
  const std::deque<record::Event>&first = a.book.events, &second = b.book.events;
  const std::size_t both = std::min(first.size(), second.size());
  std::size_t i = 0;
  while (i < both && first[i].seal == second[i].seal) ++i;
  if (i == first.size() && i == second.size())
    return fmt::format("{} and {} are copies of one book, line for line\n", text::printable(a.name),
                       text::printable(b.name));
  if (i == both) {
    const bool a_is_older = i == first.size();
    return fmt::format("{} is an older copy of {}, which goes on from line {}\n",
                       text::printable(a_is_older ? a.name : b.name),
                       text::printable(a_is_older ? b.name : a.name), (a_is_older ? second : first)[i].seq);
  }
  return fmt::format("{} and {} are copies of one book and part at line {}\n", text::printable(a.name),
                     text::printable(b.name), first[i].seq);
}

ExitStatus run(const Arguments& arguments, Context& context) {
  std::vector<ReadBook> books;
  for (const std::string& name : arguments.operands("BOOK")) {
    ReadBook b{name, record::read_book(name)};
    b.passes = review::read_passes(b.book);
    books.push_back(std::move(b));
  }
  if (context.json) {
    Json list = Json::array();
    for (const ReadBook& b : books) list.push(book_json(b));
    write_json(context, Json::object().set("books", std::move(list)));
    return ExitStatus::done;
  }
  std::string out;
  for (const ReadBook& b : books) out += book_text(b);
  for (std::size_t i = 0; i < books.size(); ++i)
    for (std::size_t j = i + 1; j < books.size(); ++j) out += parting(books[i], books[j]);
  write_text(context, out);
  return ExitStatus::done;
}

}  // namespace

Command history_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
