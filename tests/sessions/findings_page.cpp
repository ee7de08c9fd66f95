#include "sessions/findings_page.h"

#include <algorithm>

#include <fmt/format.h>

#include "sessions/planting.h"

namespace rigproof::planted {
namespace {

std::string planted_by(const Planting& p) {
  switch (p.by) {
    case By::session:
      break;
    case By::gate:
      return p.how + " (tests of its gate)";
    case By::watch:
      return p.how + " (`watch`)";
    case By::audit:
      return p.how + " (`seal`, `audit`)";
  }
  if (p.fault.empty()) return p.how;
  const std::string command = "`--fault " + p.fault + "`";
  return p.how.empty() ? command : command + ", " + p.how;
}

std::string cell(std::string text) {
  for (std::size_t at = 0; (at = text.find('|', at)) != std::string::npos; at += 2)
    text.insert(at, "\\");
  return text;
}

}  // namespace

std::string findings_page() {
  std::string out =
      "# Findings\n\n"
      "Made from the code by the target `findings_page`; do not edit. A **stop** of scope *scan* "
      "takes the scan's values away, one of scope *session* ends in \"not a valid test\"; "
      "**warn** and **note** change no value and no verdict. Words in {braces} are filled in. "
      "Each row names a session that raises the finding; the same session without the planting "
      "does not. *Detect at* is what must be found in 95 of 100 sessions; "
      "[detection.md](detection.md) says how often it was, and what 200 clean sessions raised.\n\n"
      "| finding | severity · scope | planted by | detect at | what · why it matters · what to do "
      "|\n|---|---|---|---|---|\n";
  for (const FindingKind& kind : finding_table())
    for (const auto& severity : {std::optional(kind.severity), kind.other}) {
      if (!severity) continue;
      const auto p = std::ranges::find_if(plantings(), [&](const Planting& planting) {
        return planting.finding == kind.id && planting.severity == *severity;
      });
      const bool first = *severity == kind.severity;
      out += fmt::format("| {} | {} · {} | {} | {} | {} |\n",
                         first ? std::string(kind.id) : "",
                         to_string(*severity),
                         to_string(kind.scope),
                         p == plantings().end() ? "" : cell(planted_by(*p)),
                         p == plantings().end() ? ""
                         : p->detect_at.empty() ? "any"
                                                : p->detect_at,
                         first ? cell(std::string(kind.text)) : "");
    }
  return out;
}

}  // namespace rigproof::planted
