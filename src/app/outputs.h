#pragma once

#include <filesystem>
#include <string>

#include "app/console.h"
#include "app/documents.h"

namespace rigproof {

/// Where the outputs of a session go: `out`, or out/ in the session when it is "". Throws
/// Error(usage) for a sealed session when that lies inside its folder. Called before the
/// evaluation.
std::filesystem::path output_target(const Session& session, const std::string& out);

/// Removes what killed runs left beside `wanted`, and says so.
void clear_unfinished(const std::filesystem::path& wanted, const Console& console);

/// Writes a whole output folder (interface.md): results.json as `options.results_text` says it,
/// pictures.bin, tables, documents and log.txt. It becomes `wanted`, or `wanted-2`, `-3`, … when
/// that is taken; nothing appears when it fails or is interrupted. Returns the folder.
std::filesystem::path write_outputs(const Results& results,
                                    const ReportOptions& options,
                                    const DocumentOptions& documents_wanted,
                                    const std::filesystem::path& wanted);

}  // namespace rigproof
