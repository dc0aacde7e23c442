// From the words on a drawing or a bolt box to a thread, and the pitches that a size is sold in.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/found.h>
#include <clampbook/joint/thread.h>

#include <string>
#include <string_view>

namespace clampbook::joint {

struct NamedThread {
  std::string name;  ///< "M10", "M10x1.25", "3/8-16 UNC", each with "-LH" where it turns left
  Thread thread;
  bool standard;  ///< false: the size is not in the table with this pitch; `note` says which are
  std::string note{};
};

/// Metric: "M10" (coarse), "M10x1.25", × for x, spaces around it. Unified: "3/8-16 UNC", "3/8-16",
/// "3/8 UNC", "1 1/4-7 UNC", "#10-24 UNC", "0.375-16", series UNC UNF UNEF UN UNS, a class such as -2A.
/// Either may end in "-LH". A pitch that no table lists is not an error: `standard` is false and `note`
/// names the usual pitches. Unknown words, a series that contradicts its pitch, and a bare size that has
/// no coarse pitch fail with close matches.
[[nodiscard]] Found<NamedThread> find_thread(std::string_view designation);

}  // namespace clampbook::joint
