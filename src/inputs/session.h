// inputs: what a person writes: session, rig, artefacts, limits, procedure, issuer. TOML both ways.
// Enters: paths or a name looked up in $RIGPROOF_HOME, then fixtures/. Leaves: plain structs,
// checked. Every refusal says file:line:column, what, and the nearest known name.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "inputs/artefact.h"
#include "inputs/limits.h"
#include "inputs/procedure.h"
#include "inputs/rig.h"

namespace rigproof {

struct Environment {
  std::optional<double> artefact_C, artefact_C_end;
  std::optional<double> u_artefact_C;
  std::string measured_on;  ///< artefact | room | ""
  std::optional<double> soaked_h;
  std::string log;  ///< file name, relative to the session
};

/// Optional words about one scan; every file in scans/ counts without being listed.
struct ScanOverride {
  std::string file;
  std::string artefact, place;
  std::optional<std::array<double, 16>> transform;
  std::string withdrawn;  ///< reason; "" not withdrawn
};

/// A session folder, complete in itself.
struct Session {
  std::filesystem::path folder;
  std::string id;
  std::string kind = "acceptance";  ///< acceptance | reverification | interim | as-found | as-left
  std::string field_name;
  std::string calibration;  ///< file or folder relative to the session, or words
  std::map<std::string, int> views_per_zone;
  std::string operator_name, customer;
  std::optional<Date> date;
  Environment environment;
  std::vector<ScanOverride> overrides;
  std::vector<std::filesystem::path> scans;  ///< files in scans/, sorted by name

  Rig rig;
  Limits limits;  ///< empty map: nothing is judged
  bool limits_given = false;
  Procedure procedure;
  std::vector<Artefact> artefacts;
  bool rig_given = true;  ///< false: a bare folder with no rig named; the volume is unknown
  bool simulated = false;

  const Field* field() const;  ///< nullptr when the volume is unknown
};

/// Reads session.toml and what lies beside it. Throws Error(missing) or Error(config).
Session load_session(const std::filesystem::path& folder);
void save_session(
    const Session& session);  ///< session.toml, rig.toml, limits.toml, procedure.toml, artefacts/

Rig load_rig(const std::filesystem::path& file);
Artefact load_artefact(const std::filesystem::path& file);
Limits load_limits(const std::filesystem::path& file);
Procedure load_procedure(const std::filesystem::path& file);
std::string to_toml(const Rig& rig);
std::string to_toml(const Artefact& artefact);
std::string to_toml(const Limits& limits);
std::string to_toml(const Procedure& procedure);
std::string to_toml(const Session& session);

/// $RIGPROOF_HOME, or ~/rigproof.
std::filesystem::path home_folder();
/// The installed fixtures/ or reports/ folder: $RIGPROOF_SHARE, beside the program, or the source.
std::filesystem::path share_folder(const std::string& name);
/// A path as it is; a name looked up as <home>/<kind>/<name>.toml, then
/// fixtures/<kind>/<name>.toml. kind: rigs | artefacts | limits | procedures. Throws Error(missing)
/// with the near names.
std::filesystem::path find_input(const std::string& kind, const std::string& name_or_path);

/// mm, cm, m, inch, um … → millimetres per unit; throws Error(usage) with the known names.
double unit_to_mm(const std::string& unit);
Date parse_date(const std::string& iso);
std::string to_string(const Date& date);

}  // namespace rigproof
