#pragma once

#include "app/command.h"

namespace rigproof {

/// `look FILE`: one scan without a session: what is in it, fitted, with quality figures.
Command look_command();

}  // namespace rigproof
