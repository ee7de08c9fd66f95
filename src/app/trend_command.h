#pragma once

#include "app/command.h"

namespace rigproof {

/// `trend RIG/FIELD`: the history of one rig and field with control charts.
Command trend_command();

}  // namespace rigproof
