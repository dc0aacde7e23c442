// A record to hand to strangers: what was done and found, without who did it, with what, and where.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/review/finding.h>

#include <cstdint>
#include <vector>

namespace clampbook::report {

struct PublicCopy {
  record::Book book;
  std::vector<review::Pass> passes;
  std::vector<review::Finding> findings;  ///< of the pass that was asked for

  [[nodiscard]] const review::Pass& pass(std::int64_t number) const;
};

/// Leaves out notes, names, keys, what was typed for them, file names, tool lists, the schedule's own text
/// (its remarks are notes too), and whatever a later program may have added: a list by kind names what is
/// shown. Tools are called "tool 1" and so on; times are in UTC. What was found and
/// done stays, with the reasons for what was accepted or corrected. `number`: the pass. The lines keep their
/// seals, which tell whose lines they are but no longer hold; `after` is left out.
[[nodiscard]] PublicCopy public_copy(record::Book book, std::vector<review::Pass> passes,
                                     std::int64_t number);

}  // namespace clampbook::report
