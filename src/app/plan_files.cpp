#include "app/plan_files.h"

#include "base/atomic_file.h"

namespace rigproof {

void write_plan_file(const Session& session, const Plan& plan) {
  write_atomically(
      session.folder / "plan.toml",
      "# Where `rigproof plan` put the positions; watch and assess name them by it.\n" +
          to_toml(planned_positions(plan, session.field()->volume)));
}

}  // namespace rigproof
