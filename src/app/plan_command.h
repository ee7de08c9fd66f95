#pragma once

#include "app/command.h"

namespace rigproof {

Command plan_command();

}  // namespace rigproof
