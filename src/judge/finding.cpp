#include "judge/finding.h"

#include <algorithm>

#include "base/error.h"

namespace rigproof {
namespace {

[[noreturn]] void fault(std::string_view id, const std::string& what) {
  throw Error(ErrorKind::internal,
              "finding \"" + std::string(id) + "\": " + what,
              "This is a fault of the program; please report it with the session.");
}

// Calls literal(text) and name(what stands in braces) alternately along the text.
template <class Literal, class Name>
void walk(std::string_view text, const Literal& literal, const Name& name) {
  while (true) {
    const auto open = text.find('{');
    literal(text.substr(0, open));
    if (open == std::string_view::npos) return;
    const auto close = text.find('}', open);
    if (close == std::string_view::npos) {
      literal(text.substr(open));
      return;
    }
    name(text.substr(open + 1, close - open - 1));
    text.remove_prefix(close + 1);
  }
}

}  // namespace

std::string to_string(Severity severity) {
  switch (severity) {
    case Severity::note:
      return "note";
    case Severity::warn:
      return "warn";
    case Severity::stop:
      return "stop";
  }
  return "unknown";
}

std::string to_string(Scope scope) { return scope == Scope::scan ? "scan" : "session"; }

const FindingKind& finding_kind(std::string_view id) {
  const auto& table = finding_table();
  const auto it = std::ranges::find(table, id, &FindingKind::id);
  if (it == table.end()) fault(id, "no such row in the findings table");
  return *it;
}

std::vector<std::string> names_in(std::string_view text) {
  std::vector<std::string> names;
  walk(
      text,
      [](std::string_view) {},
      [&](std::string_view name) {
        if (std::ranges::find(names, name) == names.end()) names.emplace_back(name);
      });
  return names;
}

Finding make_finding(std::string_view id,
                     const std::map<std::string, std::string>& values,
                     const std::string& scan,
                     std::optional<Severity> severity) {
  const FindingKind& kind = finding_kind(id);
  if (severity && *severity != kind.severity && severity != kind.other)
    fault(id, "severity " + to_string(*severity) + " is not in its row");
  Finding finding{std::string(id), severity.value_or(kind.severity), kind.scope, scan, {}};
  walk(
      kind.text,
      [&](std::string_view text) { finding.text += text; },
      [&](std::string_view name) {
        const auto it = values.find(std::string(name));
        if (it == values.end()) fault(id, "no value for {" + std::string(name) + "}");
        finding.text += it->second;
      });
  return finding;
}

}  // namespace rigproof
