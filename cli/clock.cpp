#include "cli/clock.h"

#include <time.h>

namespace clampbook::cli {

record::Timestamp now() {
  struct timespec moment {};
  ::clock_gettime(CLOCK_REALTIME, &moment);
  struct tm local {};
  ::localtime_r(&moment.tv_sec, &local);
  return {std::int64_t{moment.tv_sec} * 1000 + moment.tv_nsec / 1'000'000,
          static_cast<int>(local.tm_gmtoff / 60)};
}

}  // namespace clampbook::cli
