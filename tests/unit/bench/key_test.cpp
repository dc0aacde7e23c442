#include "tests/support/catch.h"

#include <clampbook/bench/key.h>
#include <clampbook/text/error.h>

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using bench::AmendRequest;
using bench::EntryRequest;
using bench::Word;

namespace {

Word word(const char* text) {
  return {"a word", text};
}

}  // namespace

// The digests were written by the program of the first book format, for the command lines beside them.
TEST_CASE("what was typed digests as it always did so that old keys answer", "[bench][key]") {
  EntryRequest tick;  // log b.book --tick
  tick.tick = true;
  CHECK(bench::typed_digest(tick) == "d088b0e65bed8b9eaba5f5601f5db223");
  EntryRequest reading;  // log cover.book 1 12Nm
  reading.bolt = word("1");
  reading.value = word("12Nm");
  CHECK(bench::typed_digest(reading) == "aa76cccf53c8429a31d8047c909cfe0d");
  // log b 1 12 Nm --also 5deg --stage 2 --no-turn --tool small --by Maren --note warm --pass 1
  reading.value = word("12");
  reading.unit = word("Nm");
  reading.also = word("5deg");
  reading.stage = word("2");
  reading.no_turn = true;
  reading.tool = word("small");
  reading.words = {"Maren", "warm", {}};
  reading.pass = word("1");
  CHECK(bench::typed_digest(reading) == "d2ab1465990eefed00ebc397d455e952");
  EntryRequest corrected;  // log b 1 12.1Nm --correct 4 --at 2026-11-28T09:00:00+00:00
  corrected.bolt = word("1");
  corrected.value = word("12.1Nm");
  corrected.correct = word("4");
  corrected.at = word("2026-11-28T09:00:00+00:00");
  CHECK(bench::typed_digest(corrected) == "d610bb360248e663a4bae7e8bd2cb6d1");
  EntryRequest counted;  // log g --count 2 --stage 6
  counted.count = word("2");
  counted.stage = word("6");
  CHECK(bench::typed_digest(counted) == "d901bc1931ce45bb20097b3c72d3124f");
  EntryRequest measured;  // log g --measure 0.12mm --stage 5 --label front
  measured.measure = word("0.12mm");
  measured.stage = word("5");
  measured.label = word("front");
  CHECK(bench::typed_digest(measured) == "6f087b3c0f05be15999ca6f5e09bed4f");
}

TEST_CASE("amendments digest as they always did", "[bench][key]") {
  AmendRequest note;  // amend cover.book --note hello
  note.words.note = "hello";
  CHECK(bench::typed_digest(note) == "62ad9da9f36881026f725d0e0641cda2");
  AmendRequest fitted;  // amend b --fitted 2,3 --uses 1 --by Maren --because worn --note n --pass 1
  fitted.act = AmendRequest::Act::fitted;
  fitted.what = word("2,3");
  fitted.uses = word("1");
  fitted.words = {"Maren", "n", "worn"};
  fitted.pass = word("1");
  CHECK(bench::typed_digest(fitted) == "ca9dc27d88971618a6acc648cff55677");
  AmendRequest abandon;  // amend b --abandon
  abandon.act = AmendRequest::Act::abandon;
  CHECK(bench::typed_digest(abandon) == "96be085c641d83c67da787f106753dd9");
}

TEST_CASE("a key is a short text", "[bench][key]") {
  const auto slug = [](const std::string& key) -> std::string {
    try {
      bench::require_key(Word{"--key", key});
      return "";
    } catch (const UsageError& e) {
      return e.diagnostics().front().slug;
    }
  };
  CHECK(slug(std::string(64, 'k')).empty());
  CHECK(slug(std::string(65, 'k')) == "bad-option");
  CHECK(slug("") == "bad-option");
  CHECK(slug("\xff") == "bad-option");
}
