#pragma once

#include "app/command.h"

namespace rigproof {

Command watch_command();

}  // namespace rigproof
