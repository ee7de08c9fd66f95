#pragma once

#include "app/command.h"

namespace rigproof {

/// `assess SESSION` or `assess FOLDER --bar L …`: the main job.
Command assess_command();

}  // namespace rigproof
