#pragma once

#include <array>
#include <cstddef>

namespace rigproof {

// Names inside a sealed session. docs/record.md describes them.
inline constexpr const char* kSealFolder = "seal";
inline constexpr const char* kAgreedFolder = "agreed";
inline constexpr const char* kManifestFile = "manifest.json";
inline constexpr const char* kSignatureFile = "signature.txt";
inline constexpr const char* kSignerFile = "signer.txt";
inline constexpr const char* kContentsFile = "contents.sha256";
inline constexpr const char* kBundleFile = "bundle.json";
inline constexpr const char* kRawFile = "raw-files.sha256";

/// What an agreement before the first scan is about; artefacts and plan are signed with it.
inline constexpr std::array kAgreedFiles{"limits.toml", "procedure.toml", "rig.toml"};

inline constexpr std::size_t kMostResultBytes = 256u << 20;

}  // namespace rigproof
