#pragma once

#include <filesystem>

#include "app/console.h"
#include "record/store.h"

namespace rigproof {

/// Every entry as a line of JSON, checks by day, then events; written at once.
void export_history(const Store& store, const std::filesystem::path& file, const Console& console);

/// Adds the entries of such a file. All lines are read before the first is added: a file with a bad
/// line changes nothing. Throws Error(data) naming file and line.
void import_history(const std::filesystem::path& file, Store& store, const Console& console);

/// Adds every run of every session below a folder from its results.json files. A session that
/// cannot be read is named and left out. Simulated sessions are passed over.
void rebuild_history(const std::filesystem::path& folder, Store& store, const Console& console);

}  // namespace rigproof
