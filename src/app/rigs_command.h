#pragma once

#include "app/command.h"

namespace rigproof {

/// `rigs`: one line a rig and field; also takes the history in and out of the store.
Command rigs_command();

}  // namespace rigproof
