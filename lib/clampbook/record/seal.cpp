#include <clampbook/record/seal.h>

#include <sys/types.h>

#include <sha2.h>

#include <algorithm>
#include <array>

namespace clampbook::record {

namespace {
constexpr std::string_view kBefore = ",\"seal\":\"";
constexpr std::string_view kAfter = "\"}";
constexpr std::size_t kDigits = 32;

std::array<char, SHA256_DIGEST_STRING_LENGTH> hexadecimal(std::string_view bytes) {
  SHA2_CTX context;
  SHA256Init(&context);
  SHA256Update(&context, reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
  std::array<char, SHA256_DIGEST_STRING_LENGTH> digits{};
  SHA256End(&context, digits.data());
  return digits;
}

}  // namespace

std::string sha256(std::string_view bytes) {
  return {hexadecimal(bytes).data(), SHA256_DIGEST_STRING_LENGTH - 1};
}

std::string seal_of(std::string_view bytes) {
  return sha256(bytes).substr(0, kDigits);
}

std::string sealed(std::string_view open_object) {
  std::string line(open_object);
  line += kBefore;
  line += seal_of(open_object);
  line += kAfter;
  return line;
}

std::optional<std::string_view> verified_seal(std::string_view line) {
  const std::size_t tail = kBefore.size() + kDigits + kAfter.size();
  if (line.size() < tail || !line.ends_with(kAfter)) return std::nullopt;
  const std::string_view body = line.substr(0, line.size() - tail);
  if (line.substr(body.size(), kBefore.size()) != kBefore) return std::nullopt;
  const std::string_view seal = line.substr(body.size() + kBefore.size(), kDigits);
  if (seal != std::string_view(hexadecimal(body).data(), kDigits)) return std::nullopt;
  return seal;
}

}  // namespace clampbook::record
