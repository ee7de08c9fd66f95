#pragma once

#include "app/command.h"

namespace rigproof {

/// `redo SESSION SCAN --why TEXT`: withdraws a scan.
Command redo_command();

}  // namespace rigproof
