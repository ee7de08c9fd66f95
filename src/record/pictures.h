#pragma once

#include <string>
#include <string_view>

#include "assess/results.h"

namespace rigproof {

/// pictures.bin: the thinned deviations of every feature (FeatureRecord::picture), kept beside
/// results.json so that its pictures can be drawn again without the scans. A text line that names
/// the format and the SHA-256 of results.json, then for each feature, in the order of the results,
/// a count and as many × four numbers; 32-bit little-endian throughout.
std::string pictures_file(const Results& results, const std::string& results_sha256);

/// Fills the pictures of `results`. Throws Error(data), and leaves `results` as they are, for bytes
/// that are no such file, that belong to another results.json or to other features, or whose counts
/// do not fit their size.
void read_pictures(std::string_view bytes, const std::string& results_sha256, Results& results);

}  // namespace rigproof
