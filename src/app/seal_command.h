#pragma once

#include "app/command.h"

namespace rigproof {

/// `seal SESSION --by NAME`: manifest, signature and certificate.
Command seal_command();

}  // namespace rigproof
