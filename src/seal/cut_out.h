#pragma once

#include <filesystem>
#include <vector>

#include "assess/results.h"

namespace rigproof {

/// The points of a scan about its features, for a customer folder: every point within the gates
/// (and the band in which strays are counted) of each evaluation zone, at full resolution, in file
/// order, with the file's own values. Nothing is written, and false returned, for a scan without
/// features; throws Error for one that cannot be opened.
bool write_cut_out(const std::filesystem::path& scan,
                   const ScanRecord& record,
                   const Session& session,
                   const std::filesystem::path& into,
                   int threads = 0);

/// The regions themselves, sensor frame, mm.
std::vector<Region> cut_out_regions(const ScanRecord& record, const Procedure& procedure);

}  // namespace rigproof
