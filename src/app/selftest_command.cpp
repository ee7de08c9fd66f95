#include "app/selftest_command.h"

#include <algorithm>

#include <fmt/format.h>

#include "app/console.h"
#include "assess/selftest.h"
#include "base/error.h"
#include "base/number.h"
#include "record/results_json.h"

namespace rigproof {
namespace {

int run(Console& console) {
  const auto checks = run_selftest();
  const bool all = std::ranges::all_of(checks, &SelfCheck::passed);
  if (console.json) {
    console.result(selftest_json(checks));
  } else {
    for (const auto& c : checks)
      console.result(fmt::format("{:6} {:44} {} (expected {}; {})",
                                 c.passed() ? "passed" : "FAILED",
                                 c.name,
                                 exact(c.got),
                                 exact(c.expected),
                                 c.source));
    console.result(fmt::format(
        "{} of {} passed", std::ranges::count_if(checks, &SelfCheck::passed), checks.size()));
    console.talk("Next: rigproof demo");
  }
  if (!all)
    throw Error(ErrorKind::internal,
                "the program computes wrongly on this machine",
                "Do not use it for verdicts here; report the lines marked FAILED.");
  return exit_within;
}

}  // namespace

Command selftest_command() {
  return {
      "selftest",
      "Built-in reference data with known answers, through the code that verdicts use.",
      {"rigproof selftest", "rigproof selftest --json", "rigproof selftest --quiet && echo good"},
      {},
      "0 all passed · 70 a check failed",
      [](Console& console) { return run(console); }};
}

}  // namespace rigproof
