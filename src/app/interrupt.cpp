#include "app/interrupt.h"

namespace rigproof {
namespace {

volatile std::sig_atomic_t asked = 0;

void note(int signal) {
  asked = signal;
  std::signal(signal, SIG_DFL);
}

}  // namespace

void catch_interrupts() {
  std::signal(SIGINT, note);
  std::signal(SIGTERM, note);
}

void stop_if_interrupted() {
  if (asked != 0) throw Interrupted{asked};
}

}  // namespace rigproof
