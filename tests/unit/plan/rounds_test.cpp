#include <clampbook/plan/rounds.h>
#include <clampbook/schedule/read_schedule.h>

#include "tests/support/catch.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace clampbook;

namespace {

constexpr const char* kBelow = "    - {material: steel, thickness: 18 mm}\n";

plan::RoundsPrediction rounds_of(const std::string& gasket, std::size_t bolts,
                                 const std::string& order = "star", const std::string& below = kBelow) {
  std::string text =
      "format: fastener schedule 1\ntitle: Flange\nfasteners: {b: {thread: M12, strength: \"8.8\", turned: "
      "nut, "
      "grip: " +
      std::string(gasket.empty() ? "34 mm" : "37 mm") +
      ", shank: 20 mm}}\njoint:\n  layers:\n    - {material: steel, thickness: 16 mm}\n" + gasket + below +
      "  into: {material: steel, thread: nut}\nlubricant: {used: "
      "grease}\norder: " +
      order + "\nbolts:\n";
  for (std::size_t i = 0; i < bolts; ++i) {
    const double angle = 2 * 3.14159265358979 * static_cast<double>(i) / static_cast<double>(bolts);
    text += fmt::format("  - {{id: {}, at: [{:.3f} mm, {:.3f} mm]}}\n", i + 1, 80 * std::cos(angle),
                        80 * std::sin(angle));
  }
  text += "stages:\n  - {torque: 50 N·m}\n";
  const auto schedule = schedule::read_schedule(std::make_shared<const text::Source>("flange", text));
  plan::PredictionOptions few;
  few.samples = 100;
  return plan::predict_rounds(schedule, plan::predict(schedule, few)).front();
}

}  // namespace

TEST_CASE("over metal neighbours take next to nothing from each other") {
  // Common knowledge of flange work, and the published shape of the model: less than 1 % of the target.
  const plan::RoundsPrediction r = rounds_of("", 8);
  REQUIRE(r.why_not.empty());
  CHECK_FALSE(r.gasket);
  CHECK(r.rounds == 1);
  for (const plan::BoltLoss& loss : r.losses) CHECK(loss.share < 0.01);
}

TEST_CASE("over a soft gasket the first bolts lose most and a second round mends it") {
  const plan::RoundsPrediction r = rounds_of("    - {modulus: 0.1 GPa, thickness: 3 mm}\n", 16);
  REQUIRE(r.why_not.empty());
  CHECK(r.gasket);
  REQUIRE(r.losses.size() == 16);
  CHECK_THAT(r.losses.back().share, WithinAbs(0, 1e-9));  // nobody came after it
  CHECK(r.losses.front().share > 0.02);
  REQUIRE(r.schemes.size() == 12);
  for (const plan::RoundScheme& s : r.schemes) {
    CHECK(s.least <= s.mean);
    CHECK(s.mean <= s.most);
    CHECK(s.most < 1 + 1e-3);  // far out the plate lifts a little, and with it a bolt
  }
  // 100; 30, 60, 100; 100 twice: the same order.
  CHECK(r.schemes[2].spread() < r.schemes[1].spread());
  CHECK(r.schemes[1].spread() < r.schemes[0].spread() + 1e-9);
}

// Equation 12.3 adds the gives h/E; a shim under the nuts is not the whole of the part below.
TEST_CASE("every layer below the cover gives its share") {
  const auto most = [](const std::string& below) {
    double out = 0;
    for (const plan::BoltLoss& loss : rounds_of("", 8, "star", below).losses)
      out = std::max(out, std::fabs(loss.share));
    return out;
  };
  const double plain = most(kBelow);
  REQUIRE(plain > 1e-5);
  CHECK_THAT(
      most("    - {material: steel, thickness: 9 mm}\n    - {material: steel, thickness: 9 mm}\n") / plain,
      WithinAbs(1, 1e-9));
  CHECK_THAT(
      most("    - {material: steel, thickness: 17.9 mm}\n    - {modulus: 12 GPa, thickness: 0.1 mm}\n") /
          plain,
      WithinAbs(1, 0.1));
}

TEST_CASE("rounds go in the order that is written out") {
  const std::string gasket = "    - {modulus: 0.1 GPa, thickness: 3 mm}\n";
  const plan::RoundsPrediction listed = rounds_of(gasket, 6, "listed");
  const plan::RoundsPrediction same = rounds_of(gasket, 6, "[1, 2, 3, 4, 5, 6]");
  const plan::RoundsPrediction back = rounds_of(gasket, 6, "[6, 5, 4, 3, 2, 1]");
  REQUIRE(listed.losses.size() == 6);
  REQUIRE(same.losses.size() == 6);
  REQUIRE(back.losses.size() == 6);
  for (std::size_t i = 0; i < 6; ++i) {
    CHECK(same.losses[i].bolt == listed.losses[i].bolt);
    CHECK(same.losses[i].share == listed.losses[i].share);
    CHECK(back.losses[i].bolt == listed.losses[5 - i].bolt);
  }
  CHECK_THAT(back.losses.back().share, WithinAbs(0, 1e-9));  // nobody came after it
}

TEST_CASE("rounds say why they say nothing") {
  const auto schedule = schedule::read_schedule(std::make_shared<const text::Source>(
      "s",
      "format: fastener schedule 1\ntitle: T\nfasteners: {b: {thread: M8, strength: \"8.8\"}}\norder: "
      "listed\nbolts: [{id: 1}, {id: 2}]\nstages: [{torque: 12 N·m}]\n"));
  const auto rounds = plan::predict_rounds(schedule, plan::predict(schedule));
  REQUIRE(rounds.size() == 1);
  CHECK(rounds.front().why_not.find("places") != std::string::npos);
  CHECK(rounds.front().schemes.empty());
}
