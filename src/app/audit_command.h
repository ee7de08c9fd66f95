#pragma once

#include "app/command.h"

namespace rigproof {

/// `audit SESSION|BUNDLE`: signature, hashes, and every value computed again.
Command audit_command();

}  // namespace rigproof
