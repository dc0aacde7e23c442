// Predictions held to figures that were worked out independently for twelve invented schedules
// (tests/reference/predictions): torque stages and yield preloads within 0.3 to 0.4 %, the rest within the
// spread over defensible moduli, cone angles, substitute lengths and twist. Each file gives value, low and
// high.
#include "tests/support/catch.h"
#include "tests/support/schedules.h"

#include <clampbook/plan/cautions.h>
#include <clampbook/plan/prediction_json.h>
#include <clampbook/text/json.h>
#include <clampbook/text/read_file.h>

#include <algorithm>
#include <filesystem>

using namespace clampbook;
using text::Json;

namespace {

const std::string kFolder = std::string(CLAMPBOOK_SOURCE_DIR) + "/tests/reference/predictions/";

std::vector<std::string> cases() {
  std::vector<std::string> out;
  for (const auto& entry : std::filesystem::directory_iterator(kFolder))
    if (entry.path().extension() == ".yaml") out.push_back(entry.path().stem().string());
  std::sort(out.begin(), out.end());
  return out;
}

Json read_json(const std::string& path) {
  return *text::parse_json(text::read_file(path, std::size_t{1} << 20)->text());
}

schedule::Schedule read_case(const std::string& name) {
  return schedule::read_schedule(text::read_file(kFolder + name + ".yaml", std::size_t{1} << 20));
}

// A figure, or the nominal of an estimate.
std::optional<double> nominal(const Json& found) {
  if (const Json* n = found.find("nominal")) return n->as_number();
  return found.as_number();
}

int compare(const Json& expected, const Json& found) {
  const Json* low = expected.find("low");
  if (low == nullptr) return 0;
  const auto value = nominal(found);
  REQUIRE(value);
  INFO("found " << *value << ", expected " << *expected.find("value")->as_number() << " in "
                << *low->as_number() << " .. " << *expected.find("high")->as_number());
  REQUIRE(*value >= *low->as_number());
  REQUIRE(*value <= *expected.find("high")->as_number());
  return 1;
}

int compare_stage(const Json& expected, const Json& found) {
  int compared = 0;
  for (const char* key : {"preload_N", "torque_Nm", "utilisation", "growth_mm"}) {
    INFO(key);
    REQUIRE(found.find(key) != nullptr);
    compared += compare(*expected.find(key), *found.find(key));
  }
  if (const Json::Array* words = expected.find("yields")->as_array()) {
    const std::string* word = found.find("yields")->as_string();
    REQUIRE(word != nullptr);
    INFO("yields " << *word);
    REQUIRE(
        std::any_of(words->begin(), words->end(), [&](const Json& w) { return *w.as_string() == *word; }));
    ++compared;
  }
  if (const Json* width = expected.find("half_width_p5_p95_percent")) {
    const Json& preload = *found.find("preload_N");
    const double p5 = *preload.find("p5")->as_number(), p95 = *preload.find("p95")->as_number();
    const double half = 100 * (p95 - p5) / (p95 + p5);
    INFO("half width " << half << " %");
    REQUIRE(half >= *width->find("low")->as_number());
    REQUIRE(half <= *width->find("high")->as_number());
    ++compared;
  }
  return compared;
}

const Json* stage_numbered(const Json& fastener, std::int64_t number) {
  for (const Json& stage : *fastener.find("stages")->as_array())
    if (*stage.find("stage")->as_integer() == number) return &stage;
  return nullptr;
}

}  // namespace

TEST_CASE("predictions lie within the bands of the worked schedules", "[plan][prediction][reference]") {
  int compared = 0;
  for (const std::string& name : cases()) {
    const Json expected = read_json(kFolder + name + ".expected.json");
    const auto schedule = read_case(name);
    const auto predictions = plan::predict(schedule);
    const Json found = plan::to_json(predictions, plan::find_cautions(schedule, predictions));
    for (const auto& [fastener, figures] : *expected.find("fasteners")->as_object()) {
      const Json* ours = found.find("fasteners")->find(fastener);
      INFO(name << " " << fastener);
      REQUIRE(ours != nullptr);
      for (const char* key : {"yield_preload_N", "elastic_limit_angle_deg", "bolt_stiffness_N_per_mm",
                              "joint_stiffness_N_per_mm", "nut_factor"}) {
        INFO(key);
        if (const Json* figure = figures.find(key)) compared += compare(*figure, *ours->find(key));
      }
      for (const Json& stage : *figures.find("stages")->as_array()) {
        INFO("stage " << *stage.find("stage")->as_integer());
        const Json* our_stage = stage_numbered(*ours, *stage.find("stage")->as_integer());
        REQUIRE(our_stage != nullptr);
        compared += compare_stage(stage, *our_stage);
      }
    }
    if (const Json* same = expected.find("same_preload_torque_Nm")) {
      for (const auto& [fastener, stages] : *same->find("stages")->as_object())
        for (const auto& [number, torque] : *stages.as_object()) {
          INFO(name << " stage " << number << ": the torque of the same preload");
          const Json* stage = stage_numbered(*found.find("fasteners")->find(fastener), std::stoi(number));
          REQUIRE_THAT(*nominal(*stage->find("same_preload_torque_Nm")),
                       WithinRel(*torque.as_number(), 0.003));
          ++compared;
        }
    }
  }
  REQUIRE(cases().size() == 12);
  REQUIRE(compared > 150);
}

TEST_CASE("a nut factor alone says nothing of yield", "[plan][prediction]") {
  const auto schedule = read_case("nut_factor_516");
  const auto predictions = plan::predict(schedule);
  REQUIRE_FALSE(predictions[0].yield_preload);
  for (const auto& stage : predictions[0].stages) {
    REQUIRE_FALSE(stage.utilisation);
    REQUIRE_FALSE(stage.yields);
    REQUIRE_FALSE(stage.growth);
  }
  const auto cautions = plan::find_cautions(schedule, predictions);
  REQUIRE(std::any_of(cautions.begin(), cautions.end(),
                      [](const plan::Caution& c) { return c.slug == "no-joint-data"; }));
}
