#include "cli/clock.h"

#include <clampbook/text/error.h>

#include <time.h>

namespace clampbook::cli {

record::Timestamp now() {
  struct timespec moment {};
  ::clock_gettime(CLOCK_REALTIME, &moment);
  struct tm local {};
  ::localtime_r(&moment.tv_sec, &local);
  record::Timestamp out{std::int64_t{moment.tv_sec} * 1000 + moment.tv_nsec / 1'000'000,
                        static_cast<int>(local.tm_gmtoff / 60)};
  const auto can_be_read = [&] { return record::parse_timestamp(record::to_string(out)).has_value(); };
  if (can_be_read()) return out;
  out.offset_minutes = 0;  // TZ may name an offset of a day and more
  if (can_be_read()) return out;
  throw InputError(text::Diagnostic{"bad-time", fmt::format("the clock says {}", record::to_string(out)),
                                    "set the clock: a book holds the years 0 to 9999; nothing was recorded"});
}

}  // namespace clampbook::cli
