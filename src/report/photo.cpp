#include "report/photo.h"

#include <algorithm>
#include <cctype>

#include "base/error.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "report/raster.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostBytes = 64u << 20;  // of one file
constexpr std::size_t kMostPhotos = 40;
constexpr int kQuality = 78;

bool is_photo(const fs::path& file) {
  std::string ending = file.extension().string();
  std::ranges::transform(ending, ending.begin(), [](unsigned char c) { return std::tolower(c); });
  return ending == ".jpg" || ending == ".jpeg" || ending == ".png";
}

std::vector<fs::path> photo_files(const fs::path& folder) {
  std::vector<fs::path> files;
  std::error_code ec;
  for (fs::directory_iterator it(folder, ec), end; !ec && it != end; it.increment(ec)) {
    std::error_code unreadable;
    // Links are left out: they may lead anywhere.
    if (fs::is_regular_file(it->symlink_status(unreadable)) && is_photo(it->path()))
      files.push_back(it->path());
  }
  std::ranges::sort(files);
  if (files.size() > kMostPhotos) files.resize(kMostPhotos);
  return files;
}

}  // namespace

std::vector<Photo> load_photos(const fs::path& folder, std::size_t budget) {
  std::vector<Photo> photos;
  for (const fs::path& file : photo_files(folder)) {
    Photo photo;
    photo.name = file.filename().string();
    photo.sha256 = sha256_file(file);
    std::error_code ec;
    if (budget > 0 && fs::file_size(file, ec) <= kMostBytes) {
      if (const auto image = decode(read_text(file, kMostBytes), kPhotoSide)) {
        const Raster small = reduced(*image, kPhotoSide);
        photo.jpeg = encode_jpeg(small, kQuality);
        photo.width = small.width;
        photo.height = small.height;
      }
      if (photo.jpeg.size() > budget) photo.jpeg.clear();
      budget -= photo.jpeg.size();
    }
    photos.push_back(std::move(photo));
  }
  return photos;
}

}  // namespace rigproof
