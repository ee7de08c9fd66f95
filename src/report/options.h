#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "assess/results.h"

namespace rigproof {

enum class Paper { a4, letter };

/// Who issues certificates.
struct Issuer {
  std::string name;
  std::vector<std::string> address;  ///< lines
  std::string accreditation;         ///< "": not an accredited laboratory
  std::string language = "en";
  Paper paper = Paper::a4;
  bool inch = false;
};

/// What a seal adds to the certificate. Without one it is a draft without an authoriser.
struct SealMark {
  std::string authorised_by;
  std::optional<Date> date;
  std::string key;              ///< public key, hex
  std::string manifest_sha256;  ///< hex
};

/// A photograph of the set-up, already read: JPEG or PNG as the camera wrote it.
struct Photo {
  std::string name, sha256;
  std::string bytes;
};

struct ReportOptions {
  std::filesystem::path assets;  ///< folder reports/; empty: share_folder("reports")
  std::string language = "en";
  bool inch = false;
  Paper paper = Paper::a4;
  Issuer issuer;
  std::string order, place_of_test;
  std::optional<SealMark> seal;
  const Results* previous = nullptr;  ///< the session before this one, if there is one
  std::vector<Photo> photos;
  std::string software_version, software_build;
};

}  // namespace rigproof
