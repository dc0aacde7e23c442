// What the program says to the shell when it ends.
#pragma once

namespace clampbook::cli {

enum class ExitStatus : int {
  done = 0,
  falls_short = 1,  ///< done, and something falls short of the schedule
  usage = 2,
  bad_input = 3,
  storage = 4,    ///< storage or output
  internal = 70,  ///< a fault of our own
  interrupted = 130,
};

}  // namespace clampbook::cli
