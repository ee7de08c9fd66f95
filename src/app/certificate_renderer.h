#pragma once

#include <filesystem>

#include "seal/seal.h"

namespace rigproof {

/// Draws the certificate of a session for its seal: language, paper and units of the issuer.toml in
/// the session folder, or English, A4 and mm. Nothing outside the folder has a say.
CertificateRenderer certificate_renderer(const std::filesystem::path& session);

}  // namespace rigproof
