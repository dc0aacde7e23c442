// What is said of a pass without a tool: a line that does not count, another bolt, a doubt, an acceptance.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/bench/request.h>
#include <clampbook/record/line.h>
#include <clampbook/review/pass.h>

#include <functional>
#include <optional>
#include <vector>

namespace clampbook::bench {

/// The line that the amendment makes. `findings` tells what check says of the pass as finished; it is asked
/// only when something is to be accepted. Throws UsageError: missing-argument, bad-option; InputError:
/// nothing-due, bad-number, unknown-bolt, not-in-pass.
[[nodiscard]] record::Draft draft_for(const review::Pass& pass, const AmendRequest& request,
                                      const std::function<std::vector<review::Finding>()>& findings,
                                      record::Timestamp now);

/// The doubt about a bolt of the pass: at its lowest unfilled step, else its last.
[[nodiscard]] record::Unsure doubt_about(const review::Pass& pass, const std::string& bolt);

/// A stroke, or a final torque, that is taken back leaves what came before it: voided alone, it would leave
/// the step open in full, though the bolt has been turned. The line that says the older one again word for
/// word, in place of `entry`; nothing when there is no older one.
[[nodiscard]] std::optional<record::Draft> restored(const record::Book& book, const review::Pass& pass,
                                                    const review::Entry& entry);

}  // namespace clampbook::bench
