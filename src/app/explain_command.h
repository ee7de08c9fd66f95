#pragma once

#include "app/command.h"

namespace rigproof {

Command explain_command();

}  // namespace rigproof
