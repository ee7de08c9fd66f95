#pragma once

#include "app/command.h"

namespace rigproof {

/// `selftest`: the built-in checks with known answers.
Command selftest_command();

}  // namespace rigproof
