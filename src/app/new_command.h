#pragma once

#include "app/command.h"

namespace rigproof {

Command new_command();

}  // namespace rigproof
