// A value on the heap that copies and compares as a value. For what few lines of a book have, so that the
// many others stay small.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <memory>
#include <utility>

namespace clampbook::record {

/// Never empty but when it was moved from; a default one allocates nothing and reads as a default T.
template <class T>
class Box {
 public:
  Box() = default;
  Box(T value)  // NOLINT(google-explicit-constructor): a box is its value
      : value_(std::make_unique<T>(std::move(value))) {}
  Box(const Box& other) : value_(other.value_ ? std::make_unique<T>(*other.value_) : nullptr) {}
  Box(Box&&) noexcept = default;
  Box& operator=(const Box& other) {
    if (this != &other) value_ = other.value_ ? std::make_unique<T>(*other.value_) : nullptr;
    return *this;
  }
  Box& operator=(Box&&) noexcept = default;
  ~Box() = default;

  [[nodiscard]] const T& operator*() const {
    static const T kDefault{};
    return value_ ? *value_ : kDefault;
  }
  [[nodiscard]] const T* operator->() const { return &**this; }
  [[nodiscard]] T& edit() {
    if (!value_) value_ = std::make_unique<T>();
    return *value_;
  }
  [[nodiscard]] friend bool operator==(const Box& a, const Box& b) { return *a == *b; }

 private:
  std::unique_ptr<T> value_;
};

}  // namespace clampbook::record
