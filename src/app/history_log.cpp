#include "app/history_log.h"

#include "base/error.h"
#include "record/store.h"

namespace rigproof {

void log_to_history(const Results& results, const Console& console) noexcept {
  try {
    const auto check = history_check(results, utc_now());
    if (!check) {
      console.detail(results.simulated
                         ? "A simulated session does not enter the history."
                         : "Without a known rig the session does not enter the history.");
      return;
    }
    Store store;
    store.add(*check);
    console.detail("Recorded in " + store.name());
  } catch (const std::exception& error) {
    try {
      console.problem(std::string("rigproof: not recorded in the history: ") + safe(error.what()));
      if (const auto* known = dynamic_cast<const Error*>(&error))
        console.problem("  " + safe(known->next_step()));
    } catch (...) {
      return;  // standard error is closed: nobody is left to tell
    }
  }
}

}  // namespace rigproof
