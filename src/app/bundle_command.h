#pragma once

#include "app/command.h"

namespace rigproof {

/// `bundle SESSION`: the customer folder.
Command bundle_command();

}  // namespace rigproof
