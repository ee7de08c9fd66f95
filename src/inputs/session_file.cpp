#include <algorithm>
#include <cmath>
#include <set>

#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"
#include "inputs/near_name.h"
#include "inputs/session.h"
#include "inputs/session_day.h"
#include "inputs/session_folder.h"
#include "inputs/session_kinds.h"
#include "inputs/toml_reader.h"
#include "inputs/toml_writer.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

bool is_there(const fs::path& path) {
  std::error_code ec;
  return fs::exists(path, ec);
}

// ---- what stands in session.toml

/// path_within, refused at the place in session.toml that named the path.
fs::path within(const TomlTable& t, std::string_view key, const fs::path& folder) {
  try {
    return path_within(folder, t.text(key));
  } catch (const Error& error) {
    t.fail_at(key, error.what(), error.next_step());
  }
}

void read_environment(const TomlTable& root, const fs::path& folder, Environment& e) {
  const auto t = root.maybe_table("environment");
  if (!t) return;
  const Range room{-40, 80, "°C", false};
  e.artefact_C = t->maybe_number("artefact_C", room);
  e.artefact_C_end = t->maybe_number("artefact_C_end", room);
  e.u_artefact_C = t->maybe_number("u_artefact_C", Range::from_zero(20, "K"));
  e.measured_on = t->word("measured_on", {"artefact", "room"}, "");
  e.soaked_h = t->maybe_number("soaked_h", Range::from_zero(10'000, "hours"));
  e.log = t->text("log", "");
  if (!e.log.empty() && !is_there(within(*t, "log", folder)))
    t->fail_at("log", "there is no file \"" + e.log + "\" in the session", "Copy the log into it.");
  t->finish();
}

/// [support] serial = "words". Read once the artefacts are known.
void read_support(const TomlTable& root, Session& s) {
  const auto t = root.maybe_table("support");
  if (!t) return;
  for (const Artefact& a : s.artefacts)
    if (const std::string words = t->text(a.serial, ""); !words.empty())
      s.environment.support[a.serial] = words;
  t->finish();
}

/// A path that exists is a file or folder of the calibration; anything else is words.
void read_calibration(const TomlTable& t, Session& s) {
  s.calibration = t.text("calibration", "");
  if (s.calibration.empty()) return;
  const fs::path named(s.calibration);
  const bool climbs = std::ranges::find(named, fs::path("..")) != named.end();
  if (!named.is_absolute() && !climbs && !is_there(s.folder / named)) return;
  const fs::path path = within(t, "calibration", s.folder);
  try {
    check_links_within(s.folder, path);
  } catch (const Error& error) {
    t.fail_at("calibration", error.what(), error.next_step());
  }
}

void read_views(const TomlTable& root, Session& s) {
  const auto t = root.maybe_table("views_per_zone");
  if (!t) return;
  for (const std::string& zone : all_zone_ids())
    if (t->has(zone)) s.views_per_zone[zone] = t->integer(zone, 0, 100'000);
  t->finish();
}

std::string scan_file(const TomlTable& t, const Session& s, const std::set<std::string>& known) {
  std::string file = t.text("file");
  within(t, "file", s.folder);
  if (file.find('/') == std::string::npos) file = "scans/" + file;
  file = fs::path(file).lexically_normal().string();
  if (!known.contains(file) && t.text("withdrawn", "").empty())
    t.fail_at("file",
              "there is no scan \"" + file + "\"",
              did_you_mean(file, {known.begin(), known.end()}));
  return file;
}

/// The serial of the artefact that is named by serial, file name or kind and serial.
std::string artefact_serial(const TomlTable& t, const Session& s) {
  const std::string named = t.text("artefact", "");
  if (named.empty()) return named;
  std::vector<std::string> known;
  for (const Artefact& a : s.artefacts) {
    if (named == a.serial || named == a.name || named == to_string(a.kind) + "-" + a.serial)
      return a.serial;
    known.push_back(a.name.empty() ? a.serial : a.name);
  }
  t.fail_at("artefact",
            "there is no artefact \"" + named + "\" in the session",
            did_you_mean(named, known));
}

/// Any words are a place, but one that is nearly a zone id is a slip.
std::string place_of(const TomlTable& t) {
  const std::string place = t.text("place", "");
  const auto& zones = all_zone_ids();
  if (std::ranges::find(zones, place) != zones.end()) return place;
  const std::string near = near_name(place, zones);
  if (place.size() > 6 && !near.empty() && edit_distance(place, near) <= 2)
    t.fail_at("place", "there is no zone \"" + place + "\"", "Did you mean \"" + near + "\"?");
  return place;
}

void read_overrides(const TomlTable& root, Session& s) {
  std::set<std::string> known, listed;
  for (const auto& scan : s.scans) known.insert("scans/" + scan.filename().string());
  for (const TomlTable& t : root.tables("scan", 100'000)) {
    ScanOverride o;
    o.file = scan_file(t, s, known);
    o.withdrawn = t.text("withdrawn", "");
    o.retest = t.text("retest", "");
    o.artefact = artefact_serial(t, s);
    o.place = place_of(t);
    if (t.has("transform")) {
      const auto m = t.matrix4("transform");
      o.transform.emplace();
      std::ranges::copy(m, o.transform->begin());
    }
    if (!listed.insert(o.file).second)
      t.fail_at("file", "scan \"" + o.file + "\" is listed twice", "Keep one [[scan]] for it.");
    t.finish();
    s.overrides.push_back(o);
  }
}

// ---- what lies beside it

/// The copy in the session folder; without one, what the name means elsewhere. A sealed session
/// takes nothing from elsewhere.
fs::path copy_or_lookup(
    const TomlTable& t, Session& s, const char* kind, const char* key, const std::string& name) {
  const std::string file =
      std::string(kind) == "limits" ? "limits.toml" : std::string(key) + ".toml";
  const fs::path copy = path_within(s.folder, file);
  if (is_there(copy)) return copy;
  if (is_there(s.folder / "seal/manifest.json") || is_there(s.folder / "seal/agreed/manifest.json"))
    throw Error(ErrorKind::missing,
                display(copy) + ": is missing from a sealed session",
                "A sealed session takes nothing from outside its folder; restore the file.");
  if (name.ends_with(".toml"))  // would be looked for in whatever folder the program is run in
    t.fail_at(key,
              "\"" + name + "\" is a file, and " + file + " is not in the session folder",
              "Copy it there as " + file + ", or give a name that rigproof rigs knows.");
  try {
    const fs::path found = find_input(kind, name);
    s.looked_up.push_back(found);
    return found;
  } catch (const Error& error) {
    throw Error(error.kind(),
                t.where(key) + ": " + file + " is not in the session folder, and " + error.what(),
                error.next_step());
  }
}

void read_rig(const TomlTable& t, Session& s) {
  const std::string name = t.label("rig", "");
  if (!name.empty() || is_there(s.folder / "rig.toml"))
    s.rig = load_rig(copy_or_lookup(t, s, "rigs", "rig", name));
  s.rig_given = !name.empty() || !s.rig.fields.empty();
  s.field_name = t.text("field", "");
  if (s.field_name.empty() && s.rig.fields.size() == 1) s.field_name = s.rig.fields[0].name;
  if (s.field_name.empty() && s.rig.fields.empty()) return;
  try {
    s.rig.field(s.field_name);
  } catch (const Error& error) {
    t.fail_at("field", error.what(), error.next_step());
  }
}

void read_limits(const TomlTable& t, Session& s) {
  const std::string name = t.label("limits", "");
  s.limits_given = !name.empty() || is_there(s.folder / "limits.toml");
  if (!s.limits_given) return;
  s.limits = load_limits(copy_or_lookup(t, s, "limits", "limits", name));
  // A copy without a name of its own is called what the session calls it.
  if (s.limits.name == "limits" && !name.empty()) s.limits.name = name;
}

void read_procedure(const TomlTable& t, Session& s) {
  const std::string name = t.label("procedure", s.kind == "interim" ? "interim" : "half-hour");
  s.procedure = load_procedure(copy_or_lookup(t, s, "procedures", "procedure", name));
  if (s.procedure.name == "procedure") s.procedure.name = name;
}

void read_artefacts(Session& s) {
  const fs::path folder = path_within(s.folder, "artefacts");
  std::vector<std::string> files;
  std::error_code ec;
  fs::directory_iterator it(folder, ec), end;
  for (; !ec && it != end; it.increment(ec))
    if (const std::string name = it->path().filename().string();
        it->path().extension() == ".toml" && name[0] != '.')
      files.push_back(name);
  if (ec && ec != std::errc::no_such_file_or_directory)
    throw Error(ErrorKind::missing,
                display(folder) + ": cannot be listed: " + ec.message(),
                "The artefacts must lie in a folder that you may read.");
  std::ranges::sort(files, before_by_name);
  for (const std::string& name : files) {
    const fs::path file = path_within(s.folder, "artefacts/" + name);
    const Artefact a = load_artefact(file);
    const auto same = std::ranges::find(s.artefacts, a.serial, &Artefact::serial);
    if (same != s.artefacts.end())
      throw Error(ErrorKind::config,
                  display(file) + ":1:1: serial \"" + a.serial + "\" is also that of " +
                      same->name + ".toml",
                  "Every artefact of a session needs its own serial.");
    s.artefacts.push_back(a);
  }
}

}  // namespace

const std::vector<std::string>& session_kinds() {
  static const std::vector<std::string> kinds{
      "acceptance", "reverification", "interim", "as-found", "as-left"};
  return kinds;
}

const Field* Session::field() const {
  if (field_name.empty()) return nullptr;
  const auto it = std::ranges::find(rig.fields, field_name, &Field::name);
  return it == rig.fields.end() ? nullptr : &*it;
}

std::optional<Date> Session::test_date() const {
  return !date && assumed_date ? std::optional(assumed_date->date) : date;
}

Session load_session(const std::filesystem::path& folder) {
  Session s;
  s.folder = folder;
  std::error_code ec;
  if (!fs::is_directory(folder, ec))
    throw Error(ErrorKind::missing,
                display(folder) + ": is not a session folder",
                "Name the folder that holds session.toml, or make one with: rigproof new");
  const fs::path file = path_within(folder, "session.toml");
  if (!is_there(file))
    throw Error(ErrorKind::missing,
                display(file) + ": no such file",
                "Name a session folder, or make one with: rigproof new");
  const TomlTable t = TomlTable::load(file);
  t.integer("schema", 1, 1, 1);
  const fs::path named = fs::absolute(folder, ec).lexically_normal();
  s.id = t.label("id", (named.has_filename() ? named : named.parent_path()).filename().string());
  s.kind = t.word("kind", session_kinds(), s.kind);
  s.simulated = t.flag("simulated", false);
  s.operator_name = t.text("operator", "");
  s.customer = t.text("customer", "");
  s.date = t.date("date");
  read_rig(t, s);
  read_limits(t, s);
  read_procedure(t, s);
  read_artefacts(s);
  read_calibration(t, s);
  read_views(t, s);
  read_environment(t, folder, s.environment);
  read_support(t, s);
  ScanListing listing = list_scans(folder);
  s.scans = std::move(listing.scans);
  s.skipped = std::move(listing.skipped);
  if (!s.date) s.assumed_date = assumed_date(s.id, s.scans);
  read_overrides(t, s);
  t.finish();
  s.simulated = s.simulated || s.rig.simulated;
  return s;
}

}  // namespace rigproof
