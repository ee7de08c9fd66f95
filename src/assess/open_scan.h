#pragma once

#include <optional>

#include "assess/scan_pass.h"
#include "scan/scan.h"

namespace rigproof {

/// Opens the file and records its facts; nullopt when it gives nothing, with the failure and the
/// finding that say why in `pass`.
std::optional<Scan> open_scan(const ScanPassInput& in, ScanPass& pass);

/// The scan gives no value; the first finding that says so is its reason.
void reject(ScanPass& pass, const Finding& finding);

}  // namespace rigproof
