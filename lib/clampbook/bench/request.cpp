#include <clampbook/bench/request.h>
#include <clampbook/text/error.h>

namespace clampbook::bench {

clampbook::text::SourcePtr Word::source() const {
  return clampbook::text::argument(name, text);
}

clampbook::text::Location Word::place() const {
  return clampbook::text::whole(source());
}

bool EntryRequest::is_gate() const {
  const bool several = (tick && (count || measure)) || (count && measure), any = tick || count || measure;
  if (several)
    throw UsageError(text::Diagnostic{"bad-option", "--tick, --count and --measure exclude each other",
                                      "one entry at a time"});
  if (any && (also || no_turn))
    throw UsageError(text::Diagnostic{
        "bad-option", "--also and --no-turn belong to a bolt's reading, not to a gate", "leave them out"});
  return any;
}

}  // namespace clampbook::bench
