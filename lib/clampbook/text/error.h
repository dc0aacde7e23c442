// The exceptions of the library. Each says who has to act: the caller's words (UsageError), the file's
// author (InputError), the physics' caller (DomainError), the disk's owner (StoreError).
#pragma once

#include <clampbook/text/diagnostic.h>

#include <fmt/format.h>

#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace clampbook {

class Error : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// Something that was said holds one or more mistakes; nothing was done.
class DiagnosticError : public Error {
 public:
  explicit DiagnosticError(std::vector<text::Diagnostic> diagnostics, std::size_t more = 0)
      : Error(diagnostics.empty() ? "no diagnostic" : diagnostics.front().message),
        diagnostics_(std::move(diagnostics)),
        more_(more) {}
  [[nodiscard]] const std::vector<text::Diagnostic>& diagnostics() const { return diagnostics_; }
  /// How many further problems were found but not kept.
  [[nodiscard]] std::size_t more() const { return more_; }

 private:
  std::vector<text::Diagnostic> diagnostics_;
  std::size_t more_;
};

/// The command line, or the state of the book, does not allow what was asked.
class UsageError : public DiagnosticError {
 public:
  explicit UsageError(text::Diagnostic d) : DiagnosticError({std::move(d)}) {}
  using DiagnosticError::DiagnosticError;
};

/// A file or a value that somebody wrote is wrong.
class InputError : public DiagnosticError {
 public:
  explicit InputError(text::Diagnostic d) : DiagnosticError({std::move(d)}) {}
  using DiagnosticError::DiagnosticError;
};

/// Storage or output failed. The message says what was and what was not saved.
class StoreError : public DiagnosticError {
 public:
  explicit StoreError(text::Diagnostic d) : DiagnosticError({std::move(d)}) {}
};

/// An argument of a physical function lies outside the range where the function means something.
class DomainError : public Error {
 public:
  DomainError(std::string argument, double value, std::string allowed)
      : Error(fmt::format("{} is {}; allowed: {}", argument, value, allowed)),
        argument_(std::move(argument)),
        value_(value),
        allowed_(std::move(allowed)) {}
  [[nodiscard]] const std::string& argument() const { return argument_; }
  /// In SI units.
  [[nodiscard]] double value() const { return value_; }
  [[nodiscard]] const std::string& allowed() const { return allowed_; }

 private:
  std::string argument_;
  double value_;
  std::string allowed_;
};

}  // namespace clampbook
