#pragma once

#include <filesystem>

#include "seal/seal.h"

namespace rigproof {

/// Draws the certificate of a session for its seal, in every language of the issuer.toml in the
/// session folder, else in English; paper and units as it says, else A4 and mm. Nothing outside the
/// folder has a say.
CertificateRenderer certificate_renderer(const std::filesystem::path& session);

}  // namespace rigproof
