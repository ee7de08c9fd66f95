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
  std::string_view text;  ///< what · why it matters · what to do, with {name} for the numbers
  std::optional<Severity> other;  ///< the second severity where there are two
};
const std::vector<FindingKind>& finding_table();

/// The row of an id; throws Error(internal) for an unknown one.
const FindingKind& finding_kind(std::string_view id);
/// The names in braces of a text, each once, in order.
std::vector<std::string> names_in(std::string_view text);

/// A finding of the table with its names in braces replaced. `severity` replaces the table's with
/// the other one of the row. Throws Error(internal) for an unknown id, a name without a value or a
/// severity that the row does not name. Values are inserted as they are, never expanded again.
Finding make_finding(std::string_view id,
                     const std::map<std::string, std::string>& values,
                     const std::string& scan = {},
                     std::optional<Severity> severity = std::nullopt);

}  // namespace rigproof
