#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "report/options.h"

namespace rigproof {

/// Longest side of a photograph in a report.
inline constexpr int kPhotoSide = 1200;

/// The JPEG and PNG files of a folder by name, hashed as they are. Each is decoded, turned as its
/// orientation mark says, made no larger than kPhotoSide and encoded anew, so that nothing but the
/// picture is left of it: no place, no time, no serial number of the camera. A file that cannot be
/// decoded, that holds more pixels than its size allows (raster.h), or that comes when `budget`
/// bytes are used up, is listed with its hash and not shown. No folder, no photos.
std::vector<Photo> load_photos(const std::filesystem::path& folder, std::size_t budget = 2'000'000);

}  // namespace rigproof
