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
  /// How artefacts are supported in the test, by serial, where it is said.
  std::map<std::string, std::string> support;
};

/// Optional words about one scan; every file in scans/ counts without being listed.
struct ScanOverride {
  std::string file;
  std::string artefact, place;
  std::optional<std::array<double, 16>> transform;
  std::string withdrawn;  ///< reason; "" not withdrawn
  /// The physical reason why a value outside its limit was measured again; "" it was not.
  std::string retest;
};

/// A day that session.toml does not give.
struct AssumedDate {
  Date date{};
  std::string from;  ///< "id": its first ten letters; "scans": the newest file in scans/
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
  std::optional<Date> date;                 ///< as session.toml says
  std::optional<AssumedDate> assumed_date;  ///< where it says nothing
  Environment environment;
  std::vector<ScanOverride> overrides;
  /// Files in scans/, sorted by name with numbers as numbers: scan9 before scan10.
  std::vector<std::filesystem::path> scans;
  /// What else lies in scans/ and why it is no scan: "scan7.ply.part: unfinished or temporary".
  std::vector<std::string> skipped;
  /// Inputs that the folder has no copy of and that were found by name elsewhere; an unsealed
  /// session only. Empty for a folder that is complete in itself.
  std::vector<std::filesystem::path> looked_up;

  Rig rig;
  Limits limits;  ///< empty map: nothing is judged
  bool limits_given = false;
  Procedure procedure;
  std::vector<Artefact> artefacts;
  bool rig_given = true;  ///< false: a bare folder with no rig named; the volume is unknown
  bool simulated = false;

  /// By which certificates, limits and drift are dated; nullopt when nothing tells.
  std::optional<Date> test_date() const;
  const Field* field() const;  ///< nullptr when the volume is unknown
};

/// Reads session.toml and what lies beside it, and nothing outside the folder, whatever paths and
/// symbolic links say; a copy that is missing in an unsealed session is looked up by its name.
/// Throws Error(missing) or Error(config).
Session load_session(const std::filesystem::path& folder);
/// Writes session.toml, rig.toml, limits.toml, procedure.toml and artefacts/ into session.folder,
/// each atomically. A file that already says the same is left as it is, with its comments.
void save_session(const Session& session);

Rig load_rig(const std::filesystem::path& file);
Artefact load_artefact(const std::filesystem::path& file);
Limits load_limits(const std::filesystem::path& file);
Procedure load_procedure(const std::filesystem::path& file);
std::string to_toml(const Rig& rig);
std::string to_toml(const Artefact& artefact);
std::string to_toml(const Limits& limits);
std::string to_toml(const Procedure& procedure);
std::string to_toml(const Session& session);

/// $RIGPROOF_HOME, or ~/rigproof. It need not exist.
std::filesystem::path home_folder();
/// The installed fixtures/ or reports/ folder: $RIGPROOF_SHARE, beside the program
/// (../share/rigproof), or the source. Throws Error(missing).
std::filesystem::path share_folder(const std::string& name);
/// A path as it is; a name looked up as <home>/<kind>/<name>.toml, then
/// fixtures/<kind>/<name>.toml. kind: rigs | artefacts | limits | procedures. Throws Error(missing)
/// with the near names.
std::filesystem::path find_input(const std::string& kind, const std::string& name_or_path);
/// Names that find_input knows for a kind, those of the home folder first, without doubles.
std::vector<std::string> input_names(const std::string& kind);

/// A rig and one of its fields of view.
struct RigField {
  Rig rig;
  std::string field;  ///< name
  std::filesystem::path file;
};
/// "R12/300", or "R12" when it has one field, or a path with or without "/300" after it. Throws
/// Error(missing) for an unknown rig, Error(config) for an unknown or missing field.
RigField find_rig_field(const std::string& rig_and_field);

/// mm, cm, m, inch, um … → millimetres per unit; throws Error(usage) with the known names.
double unit_to_mm(const std::string& unit);
/// The day of "2026-01-31"; nullopt for any other text.
std::optional<Date> find_date(const std::string& iso);
/// The same; throws Error(usage) for any other text.
Date parse_date(const std::string& iso);
std::string to_string(const Date& date);

}  // namespace rigproof
