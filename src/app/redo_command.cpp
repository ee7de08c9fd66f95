#include "app/redo_command.h"

#include <algorithm>
#include <memory>

#include <fmt/format.h>

#include "app/console.h"
#include "base/folder.h"
#include "base/input_file.h"
#include "inputs/withdraw.h"
#include "report/plain_text.h"
#include "seal/seal.h"

namespace rigproof {
namespace {

struct RedoCommandOptions {
  std::string session, scan, why;
};

int run_redo(const RedoCommandOptions& o, Console& console) {
  // Inside a session folder the session may be left out: then one name is the scan.
  const std::string where = o.scan.empty() ? "." : o.session;
  const FolderLock lock(where, FolderLock::Kind::shared);
  refuse_sealed(where);
  const Session session = load_session(where);
  const std::string scan = named_scan(session, o.scan.empty() ? o.session : o.scan);
  withdraw_scan(session, scan, o.why);
  const auto before = std::ranges::count_if(
      session.overrides, [](const ScanOverride& s) { return !s.withdrawn.empty(); });
  if (console.json) {
    console.result(fmt::format(R"({{"withdrawn": "{}", "why": "{}", "count": {}}})",
                               escape_json(scan),
                               escape_json(o.why),
                               before + 1));
    return exit_within;
  }
  console.result(fmt::format("{} is withdrawn ({} in this session); file and reason stay on record",
                             display(scan),
                             before + 1));
  if (!session.procedure.retest.empty())
    console.talk("Retest rule: " + display(session.procedure.retest));
  console.result("Next: scan the same place again into scans/, then rigproof assess " +
                 display(where) + ".");
  return exit_within;
}

}  // namespace

Command redo_command() {
  auto o = std::make_shared<RedoCommandOptions>();
  return {"redo",
          "Withdraw a scan; the reason and the count stand on the certificate.",
          {"rigproof redo SESSION scan007.ply --why \"the stand was touched\"",
           "rigproof redo scan007 --why \"lamp off\"   (inside the session folder)",
           "rigproof redo SESSION scans/scan007.ply --why \"wrong exposure\" --json"},
          {{"SESSION", "SESSION", "a session folder (default: this one)", &o->session, true},
           {"SCAN", "SCAN", "the scan: its file name", &o->scan},
           {"--why", "TEXT", "the physical reason", &o->why, true}},
          "0 recorded · 64–78 errors",
          [o](Console& console) { return run_redo(*o, console); }};
}

}  // namespace rigproof
