// Runs a fuzz target over kept inputs, without the fuzzer.
//
// usage: replay_TARGET FILE_OR_FOLDER...
// An argument that does not exist is an error, and so is a run without a single input. The input under way is
// printed first: the last line before a crash names it.
#include "tests/fuzz/fuzz.h"

#include <algorithm>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

int main(int count, char** arguments) try {
  std::vector<std::filesystem::path> inputs;
  for (int i = 1; i < count; ++i) {
    const std::filesystem::path path = arguments[i];
    if (!std::filesystem::is_directory(path)) {
      inputs.push_back(path);
      continue;
    }
    for (const auto& entry : std::filesystem::directory_iterator(path))
      if (entry.is_regular_file()) inputs.push_back(entry.path());
  }
  std::sort(inputs.begin(), inputs.end());
  clampbook::fuzz::always_takes_its_time = true;
  for (const auto& path : inputs) {
    std::printf("%s\n", path.c_str());
    std::fflush(stdout);
    std::ifstream in(path, std::ios::binary);
    if (!in) {
      std::fprintf(stderr, "cannot be read\n");
      return 1;
    }
    const std::vector<char> bytes{std::istreambuf_iterator<char>(in), {}};
    // Exactly as long as the input, so that reading past its end is seen under the address sanitizer.
    const std::vector<std::uint8_t> data(bytes.begin(), bytes.end());
    LLVMFuzzerTestOneInput(data.data(), data.size());
  }
  std::printf("%zu inputs\n", inputs.size());
  return inputs.empty() ? 1 : 0;
} catch (const std::exception& e) {
  std::fprintf(stderr, "an exception came out: %s\n", e.what());
  return 1;
}
