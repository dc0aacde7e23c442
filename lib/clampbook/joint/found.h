// What a look-up by name gives: the thing, or a sentence on why there is none and what to write instead.
// A name comes from a person, so a wrong one is an answer, not an exception.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <stdexcept>
#include <string>
#include <utility>
#include <variant>

namespace clampbook::joint {

struct NotFound {
  std::string message;  ///< lower case, no full stop
  std::string help;     ///< close matches or the allowed range; may be empty
};

template <class Thing>
class Found {
 public:
  Found(Thing thing) : result_(std::move(thing)) {}         // NOLINT(google-explicit-constructor)
  Found(NotFound failure) : result_(std::move(failure)) {}  // NOLINT(google-explicit-constructor)

  [[nodiscard]] explicit operator bool() const { return std::holds_alternative<Thing>(result_); }
  /// Only when it holds a thing; else std::logic_error with the failure's message.
  [[nodiscard]] const Thing& operator*() const {
    if (const NotFound* none = std::get_if<NotFound>(&result_)) throw std::logic_error(none->message);
    return *std::get_if<Thing>(&result_);
  }
  [[nodiscard]] const Thing* operator->() const { return &**this; }
  /// Only when it holds none; else std::logic_error.
  [[nodiscard]] const NotFound& failure() const {
    if (*this) throw std::logic_error("nothing failed");
    return *std::get_if<NotFound>(&result_);
  }

 private:
  std::variant<Thing, NotFound> result_;
};

}  // namespace clampbook::joint
