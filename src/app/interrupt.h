#pragma once

#include <csignal>

namespace rigproof {

/// Thrown where a run may stop cleanly after Ctrl-C or SIGTERM, so that destructors clear up.
struct Interrupted {
  int signal = SIGINT;
};

/// The first signal asks for a clean stop, the second ends the process at once.
void catch_interrupts();
/// Throws Interrupted when a stop was asked for.
void stop_if_interrupted();

}  // namespace rigproof
