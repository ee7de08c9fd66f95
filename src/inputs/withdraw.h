#pragma once

#include <string>

#include "inputs/session.h"

namespace rigproof {

/// The scan of a session that is meant by "scans/scan7.ply", "scan7.ply" or "scan7", relative to
/// the session. Throws Error(usage) with the near names, or when several are meant.
std::string named_scan(const Session& session, const std::string& name);

/// Notes in session.toml that a scan is withdrawn and why; its file stays, and so
/// do the comments of session.toml unless its [[scan]] is written in an unusual way. Throws
/// Error(usage) for a reason that is empty or no line of plain text, and for a scan that is
/// withdrawn already.
void withdraw_scan(const Session& session, const std::string& scan, const std::string& why);

}  // namespace rigproof
