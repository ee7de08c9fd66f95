#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "assess/results.h"
#include "inputs/issuer.h"

namespace rigproof {

enum class Paper { a4, letter };

/// What a seal adds to the certificate. Without one it is a draft without an authoriser.
struct SealMark {
  std::string authorised_by;
  std::optional<Date> date;
  std::string key;              ///< public key, hex
  std::string manifest_sha256;  ///< hex
};

/// A photograph of the set-up, made fit to be shown; see report/photo.h.
struct Photo {
  std::string name;
  std::string sha256;  ///< of the file as it lies in the session
  std::string jpeg;    ///< small copy without metadata; "": not shown
  int width = 0, height = 0;
};

struct ReportOptions {
  std::filesystem::path assets;  ///< folder reports/; empty: share_folder("reports")
  std::string language = "en";
  bool inch = false;
  Paper paper = Paper::a4;
  Issuer issuer;
  std::string order;
  std::optional<SealMark> seal;
  const Results* previous = nullptr;  ///< the session before this one, if there is one
  std::vector<Photo> photos;
  std::string software_version, software_build;
  /// results.json as it was written, whose hash and copy the documents carry; "": made from the
  /// results.
  std::string results_text;
};

}  // namespace rigproof
