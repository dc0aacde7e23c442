#include <clampbook/record/timestamp.h>

#include <fmt/format.h>

#include <array>

namespace clampbook::record {

namespace {

constexpr std::int64_t kDay = 86'400'000;

// Days since 1970-01-01 of a proleptic Gregorian date; years are counted from March, so that the leap day is
// last.
constexpr std::int64_t days_from_civil(std::int64_t year, int month, int day) {
  year -= month <= 2 ? 1 : 0;
  const std::int64_t era = (year >= 0 ? year : year - 399) / 400;
  const std::int64_t year_of_era = year - era * 400;
  const std::int64_t day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
  return era * 146'097 + year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year - 719'468;
}

struct Date {
  std::int64_t year;
  int month, day;
};

constexpr Date civil_from_days(std::int64_t days) {
  days += 719'468;
  const std::int64_t era = (days >= 0 ? days : days - 146'096) / 146'097;
  const std::int64_t day_of_era = days - era * 146'097;
  const std::int64_t year_of_era =
      (day_of_era - day_of_era / 1460 + day_of_era / 36'524 - day_of_era / 146'096) / 365;
  const std::int64_t day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
  const std::int64_t shifted = (5 * day_of_year + 2) / 153;
  const int month = static_cast<int>(shifted < 10 ? shifted + 3 : shifted - 9);
  return {year_of_era + era * 400 + (month <= 2 ? 1 : 0), month,
          static_cast<int>(day_of_year - (153 * shifted + 2) / 5 + 1)};
}

constexpr int days_in_month(std::int64_t year, int month) {
  constexpr std::array<int, 12> kDays{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  const bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
  return month == 2 && leap ? 29 : kDays[static_cast<std::size_t>(month - 1)];
}

// Takes exactly `width` digits from the front.
bool take_digits(std::string_view& text, std::size_t width, int& value) {
  if (text.size() < width) return false;
  value = 0;
  for (std::size_t i = 0; i < width; ++i) {
    if (text[i] < '0' || text[i] > '9') return false;
    value = value * 10 + (text[i] - '0');
  }
  text.remove_prefix(width);
  return true;
}

bool take(std::string_view& text, char c) {
  if (text.empty() || text.front() != c) return false;
  text.remove_prefix(1);
  return true;
}

// ".5", ".123456": kept to milliseconds, further digits are dropped.
bool take_fraction(std::string_view& text, int& milliseconds) {
  milliseconds = 0;
  if (!take(text, '.')) return true;
  int digits = 0, scale = 100;
  for (; !text.empty() && text.front() >= '0' && text.front() <= '9';
       text.remove_prefix(1), ++digits, scale /= 10)
    milliseconds += (text.front() - '0') * scale;
  return digits > 0;
}

bool take_offset(std::string_view& text, int& minutes) {
  minutes = 0;
  if (take(text, 'Z') || take(text, 'z')) return true;
  const int sign = take(text, '+') ? 1 : take(text, '-') ? -1 : 0;
  int hour = 0, minute = 0;
  if (sign == 0 || !take_digits(text, 2, hour) || !take(text, ':') || !take_digits(text, 2, minute))
    return false;
  if (hour > 23 || minute > 59) return false;
  minutes = sign * (hour * 60 + minute);
  return true;
}

}  // namespace

std::string to_string(Timestamp moment) {
  const std::int64_t local = moment.milliseconds + std::int64_t{moment.offset_minutes} * 60'000;
  const std::int64_t days = local >= 0 ? local / kDay : -((-local + kDay - 1) / kDay);
  const std::int64_t in_day = local - days * kDay;
  const Date date = civil_from_days(days);
  const int offset = moment.offset_minutes < 0 ? -moment.offset_minutes : moment.offset_minutes;
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}{}{:02}:{:02}", date.year, date.month,
                     date.day, in_day / 3'600'000, in_day / 60'000 % 60, in_day / 1000 % 60, in_day % 1000,
                     moment.offset_minutes < 0 ? '-' : '+', offset / 60, offset % 60);
}

std::optional<Timestamp> parse_timestamp(std::string_view text) {
  int year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0, milliseconds = 0, offset = 0;
  if (!take_digits(text, 4, year) || !take(text, '-') || !take_digits(text, 2, month) || !take(text, '-') ||
      !take_digits(text, 2, day))
    return std::nullopt;
  if (!take(text, 'T') && !take(text, 't') && !take(text, ' ')) return std::nullopt;
  if (!take_digits(text, 2, hour) || !take(text, ':') || !take_digits(text, 2, minute) || !take(text, ':') ||
      !take_digits(text, 2, second))
    return std::nullopt;
  if (!take_fraction(text, milliseconds) || !take_offset(text, offset) || !text.empty()) return std::nullopt;
  if (month < 1 || month > 12 || day < 1 || day > days_in_month(year, month) || hour > 23 || minute > 59 ||
      second > 60)
    return std::nullopt;
  const std::int64_t seconds = days_from_civil(year, month, day) * 86'400 + std::int64_t{hour} * 3600 +
                               std::int64_t{minute} * 60 + second - std::int64_t{offset} * 60;
  return Timestamp{seconds * 1000 + milliseconds, offset};
}

}  // namespace clampbook::record
