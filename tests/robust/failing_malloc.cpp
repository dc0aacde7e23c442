// Preloaded into the program: the allocation of the number FAIL_AT fails, and with FAIL_ON all after it.
#include <cerrno>
#include <cstddef>
#include <cstdlib>

extern "C" {

void* __libc_malloc(std::size_t size);  // NOLINT(bugprone-reserved-identifier): the C library's own name

void* malloc(std::size_t size) {
  static long left = -1;  // how many more succeed; 0: no more count
  static bool all_after = false;
  if (left < 0) {
    const char* const at = std::getenv("FAIL_AT");
    left = at != nullptr ? std::atol(at) : 0;
    all_after = std::getenv("FAIL_ON") != nullptr;
  }
  if (left > 0 && --left == 0) {
    left = all_after ? 1 : 0;
    errno = ENOMEM;
    return nullptr;
  }
  return __libc_malloc(size);
}
}
