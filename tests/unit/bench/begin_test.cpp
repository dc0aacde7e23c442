#include "tests/support/catch.h"
#include "tests/unit/bench/benches.h"

#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using bench::BeginRequest;
using bench::Word;

namespace {

BeginRequest gates() {
  const auto file = text::read_file(CLAMPBOOK_SOURCE_DIR "/tests/data/gates.yaml", schedule::kLargestFile);
  BeginRequest out;
  out.file = std::make_shared<const text::Source>("gates.yaml", std::string(file->text()));
  out.program = "test";
  return out;
}

}  // namespace

// The digest was written by the program of the first book format for
// begin g gates.yaml --trial --by Maren --only A --key k7
TEST_CASE("begin digests what was typed as it always did", "[bench][begin][key]") {
  const books::Folder folder("/dev/shm");
  test::Seconds clock;
  BeginRequest request = gates();
  request.trial = true;
  request.words.by = "Maren";
  request.only = Word{"--only", "A"};
  request.key = Word{"--key", "k7"};
  const bench::Begun begun = bench::begin(folder.file("g"), request, clock);
  CHECK_FALSE(begun.repeated);
  CHECK(record::read_book(folder.file("g")).events.front().remarks->typed == "3f70413b41f52ccabe066507e62c5cd8");
  const std::string before = books::content(folder.file("g"));
  const bench::Begun again = bench::begin(folder.file("g"), request, clock);
  CHECK(again.repeated);
  CHECK(again.seq == begun.seq);
  CHECK(books::content(folder.file("g")) == before);
  request.trial = false;
  CHECK_THROWS_AS(bench::begin(folder.file("g"), request, clock), UsageError);
}

TEST_CASE("a refused begin makes no book", "[bench][begin]") {
  const books::Folder folder("/dev/shm");
  test::Seconds clock;
  BeginRequest request = gates();
  request.only = Word{"--only", "Z"};
  CHECK_THROWS_AS(bench::begin(folder.file("g"), request, clock), InputError);
  CHECK_FALSE(std::filesystem::exists(folder.file("g")));
  request = gates();
  request.operation = Word{"--operation", "rods"};
  CHECK_THROWS_AS(bench::begin(folder.file("g"), request, clock), UsageError);
  CHECK_FALSE(std::filesystem::exists(folder.file("g")));
}
