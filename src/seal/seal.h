// seal: manifest, signature, audit, bundle. Calls assess and report again
// instead of parsing documents. Enters: session folders. Leaves: seal/, customer folders, and facts
// about what matches; nothing is judged here.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "report/options.h"
#include "seal/key.h"
#include "seal/manifest.h"

namespace rigproof {

/// Name and content.
using SealedDocument = std::pair<std::string, std::string>;
/// Draws the certificate of these results, PDF and HTML, for a seal. Reads nothing outside the
/// session folder but the program's own templates.
using CertificateRenderer = std::function<std::vector<SealedDocument>(
    const Results& results, const std::string& results_text, const SealMark& mark)>;

struct SealRequest {
  std::filesystem::path session;
  std::string by;   ///< who authorises
  std::string now;  ///< UTC, 2026-03-14T12:00:00Z
  CertificateRenderer render;
};

struct SealOutcome {
  std::string stage;  ///< as in the manifest
  std::size_t files = 0;
  std::string manifest_sha256;
};

/// Seals what there is: limits and plan while no scan is there yet (seal/agreed/), else the whole
/// folder with a certificate of its newest results (seal/). The manifest comes last: a run that is
/// stopped before leaves an unsealed session. Throws Error(usage) for a sealed folder, Error(data)
/// when results are not those of the files as they are, or for symbolic links.
SealOutcome seal_session(const SealRequest& request, const SigningKey& key);

/// Sealed as a whole.
bool is_sealed(const std::filesystem::path& session);
/// Its limits and plan are.
bool is_agreed(const std::filesystem::path& session);
/// Throws Error(usage) when `target` lies in a sealed folder, whatever links say.
void refuse_sealed(const std::filesystem::path& target,
                   const std::string& next_step = "Name a place outside it.");

/// Digest of a page drawn with this machine's fonts.
std::string drawing_digest(const CertificateRenderer& render);

/// The certificate's mark: digest of the list of all files outside seal/.
SealMark seal_mark(const Manifest& manifest);

/// Newest out folder with results.json, as a path relative to the session; "" none.
std::string newest_results(const std::filesystem::path& session);

}  // namespace rigproof
