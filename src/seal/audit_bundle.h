#pragma once

#include "assess/results.h"
#include "seal/audit.h"
#include "seal/bundle.h"

// What an audit believes of bundle.json. Anybody can write one, without a key: it may say which
// sealed scans were cut and what the cut-outs are, and nothing else.

namespace rigproof {

/// The index against the manifest.
void check_index(const BundleIndex& index, Audit& audit);

/// The index against the sealed results: the same scans, and none cut that has no features to be
/// cut about.
void check_cut_outs(const BundleIndex& index, const Results& sealed, Audit& audit);

/// Notes what the signature does not cover, and what speaks for it instead. After the values were
/// computed again, if they were.
void say_cut_outs(const BundleIndex& index, Audit& audit);

}  // namespace rigproof
