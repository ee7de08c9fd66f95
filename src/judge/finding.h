#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace rigproof {

enum class Severity { note, warn, stop };
enum class Scope { scan, session };
std::string to_string(Severity severity);
std::string to_string(Scope scope);

/// What was noticed. `text` has three parts: what · why it matters · what to do.
struct Finding {
  std::string id;
  Severity severity = Severity::note;
  Scope scope = Scope::scan;
  std::string scan;  ///< "" for the session
  std::string text;
};

/// One row of the one findings table.
struct FindingKind {
  std::string_view id;
  Severity severity;
  Scope scope;
  std::string_view text;  ///< with {name} for the numbers
};
const std::vector<FindingKind>& finding_table();

/// A finding of the table with its placeholders filled; throws Error(internal) for an unknown id or
/// a placeholder without a value. `severity` replaces the table's where findings.md names two.
Finding make_finding(std::string_view id,
                     const std::map<std::string, std::string>& values,
                     const std::string& scan = {},
                     std::optional<Severity> severity = std::nullopt);

}  // namespace rigproof
