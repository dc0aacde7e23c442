// A build is refused with its places, or its operations can be done in some order. The schedules that an
// input names are looked for in a folder that is empty: that, too, is a refusal with a place.
#include "tests/fuzz/fuzz.h"

#include <clampbook/plan/plan.h>
#include <clampbook/schedule/build.h>

#include <set>

using namespace clampbook;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto source =
      std::make_shared<const text::Source>("no-such-folder/input", std::string(fuzz::as_text(data, size)));
  static_cast<void>(schedule::is_build(source->text()));
  // An absolute path would read what lies on this machine.
  if (source->text().find('/') != std::string_view::npos) return 0;
  try {
    const schedule::Build build = schedule::read_build(source);
    std::set<std::string> names, done;
    for (const schedule::Operation& operation : build.operations)
      fuzz::require(names.insert(operation.name).second, "names differ", operation.name);
    const auto order = build.in_order();
    fuzz::require(order.size() == build.operations.size(), "every operation has its turn");
    for (const std::size_t i : order) {
      const schedule::Operation& operation = build.operations[i];
      for (const std::string& earlier : operation.after)
        fuzz::require(done.count(earlier) == 1, "an operation waits for those before it", operation.name);
      done.insert(operation.name);
      if (!operation.has_own_gates()) continue;
      const plan::Plan plan = plan::make_plan(operation.schedule);
      const schedule::Schedule alone = schedule::read_own_gates(source, operation.name);
      fuzz::require(plan::make_plan(alone).steps.size() == plan.steps.size(), "gates are the same alone");
    }
  } catch (const InputError& refusal) {
    fuzz::require_helpful(refusal);
  }
  try {
    static_cast<void>(schedule::read_own_gates(source, "bed"));
  } catch (const InputError& refusal) {
    fuzz::require_helpful(refusal);
  }
  return 0;
}
