#include "record/pictures.h"

#include <bit>
#include <cmath>
#include <cstring>

#include "base/error.h"

namespace rigproof {
namespace {

static_assert(std::endian::native == std::endian::little, "pictures.bin is little-endian");

constexpr std::uint32_t kMostPoints = 1u << 20;

std::string first_line(const std::string& results_sha256) {
  return "rigproof-pictures-1 " + results_sha256 + "\n";
}

[[noreturn]] void unusable(const std::string& what) {
  throw Error(ErrorKind::data,
              "pictures.bin: " + what,
              "Assess the session again, or go on without deviation pictures.");
}

using Picture = std::vector<std::array<float, 4>>;

Picture take_picture(std::string_view& rest) {
  std::uint32_t n = 0;
  if (rest.size() < sizeof n) unusable("ends before its last picture");
  std::memcpy(&n, rest.data(), sizeof n);
  rest.remove_prefix(sizeof n);
  const std::size_t bytes = std::size_t{n} * sizeof(Picture::value_type);
  if (n > kMostPoints || bytes > rest.size())
    unusable("a picture promises " + std::to_string(n) + " points and " +
             std::to_string(rest.size()) + " bytes are left");
  Picture picture(n);
  if (n > 0) std::memcpy(picture.data(), rest.data(), bytes);
  rest.remove_prefix(bytes);
  for (const auto& point : picture)
    for (const float number : point)
      if (!std::isfinite(number)) unusable("a number is not finite");
  return picture;
}

}  // namespace

std::string pictures_file(const Results& results, const std::string& results_sha256) {
  std::string out = first_line(results_sha256);
  for (const auto& scan : results.scans) {
    for (const auto& f : scan.features) {
      const auto n = static_cast<std::uint32_t>(f.picture.size());
      out.append(reinterpret_cast<const char*>(&n), sizeof n);
      out.append(reinterpret_cast<const char*>(f.picture.data()), n * sizeof(f.picture[0]));
    }
  }
  return out;
}

void read_pictures(std::string_view bytes, const std::string& results_sha256, Results& results) {
  const std::string line = first_line(results_sha256);
  if (!bytes.starts_with(line)) unusable("does not belong to this results.json");
  std::string_view rest = bytes.substr(line.size());
  std::vector<Picture> pictures;
  for (const auto& scan : results.scans)
    for (std::size_t i = 0; i < scan.features.size(); ++i) pictures.push_back(take_picture(rest));
  if (!rest.empty()) unusable("goes on after its last picture");
  auto next = pictures.begin();
  for (auto& scan : results.scans)
    for (auto& f : scan.features) f.picture = std::move(*next++);
}

}  // namespace rigproof
