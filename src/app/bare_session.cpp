#include "app/bare_session.h"

#include <algorithm>
#include <ctime>

#include <sys/stat.h>

#include "app/interrupt.h"
#include "app/known_artefacts.h"
#include "app/unfinished_folder.h"
#include "base/error.h"
#include "base/input_file.h"
#include "inputs/near_name.h"
#include "inputs/session_folder.h"
#include "inputs/session_kinds.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

ScanListing scan_files(const fs::path& folder) {
  std::error_code ec;
  if (!fs::is_directory(folder, ec))
    throw Error(ErrorKind::missing,
                display(folder) + ": is not a folder",
                "Name a session folder or a folder of scans.");
  ScanListing out = list_scans_in(folder);
  if (out.scans.empty())
    throw Error(ErrorKind::missing,
                display(folder) + ": holds no scans",
                "Export the scans into this folder, one file a position.");
  return out;
}

/// Day of the newest file, UTC: the same name wherever the folder is assessed.
Date newest_day(const std::vector<fs::path>& files) {
  std::time_t newest = 0;
  for (const auto& file : files) {
    struct stat info{};
    if (::stat(file.c_str(), &info) == 0) newest = std::max(newest, info.st_mtime);
  }
  return Date{
      std::chrono::floor<std::chrono::days>(std::chrono::system_clock::from_time_t(newest))};
}

// One limit for what the artefacts are there to measure, named or recognised.
Limits limits_for(const BareFolder& bare, const std::vector<Artefact>& artefacts) {
  Limits limits;
  if (!bare.limit_mm) return limits;
  limits.name = "typed";
  if (!(*bare.limit_mm > 0))
    throw Error(
        ErrorKind::usage, "--limit must be more than zero", "Give millimetres, e.g. --limit 0.03.");
  const Limit limit{*bare.limit_mm, 0};
  const auto has = [&](ArtefactKind kind) {
    return std::ranges::any_of(artefacts, [&](const Artefact& a) { return a.kind == kind; });
  };
  const bool bar = has(ArtefactKind::bar);
  if (bar) limits.by_characteristic["sphere_spacing"] = limit;
  if (has(ArtefactKind::ball) && !bar)
    limits.by_characteristic["probing_form"] = limits.by_characteristic["probing_size"] = limit;
  if (has(ArtefactKind::plate)) limits.by_characteristic["flatness"] = limit;
  return limits;
}

/// R12/300 → rig and field; nothing → a rig without a known volume. Units that are typed beat those
/// of the rig's file.
void take_rig(const BareFolder& bare, Session& session) {
  if (!bare.rig.empty()) {
    RigField found = find_rig_field(bare.rig);
    session.rig = std::move(found.rig);
    session.field_name = std::move(found.field);
  } else {
    session.rig_given = false;
    session.rig.id = "unnamed";
  }
  if (!bare.rig.empty() && bare.units.empty()) return;
  session.rig.units = bare.units.empty() ? "mm" : bare.units;
  session.rig.unit_mm = unit_to_mm(session.rig.units);
}

/// What was typed must be what a session can hold: it is read again by every later command.
void check_readable(const Session& session) {
  try {
    load_session(session.folder);
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::config) throw;
    throw Error(ErrorKind::usage,
                std::string("what was typed is no session: ") + error.what(),
                "Check sizes, limit and rig.");
  }
}

}  // namespace

Session write_bare_session(const BareFolder& bare) {
  const std::string kind = bare.kind.empty() ? "acceptance" : bare.kind;
  if (std::ranges::find(session_kinds(), kind) == session_kinds().end())
    throw Error(ErrorKind::usage,
                "--kind " + display(kind) + " is no kind of session",
                did_you_mean(kind, session_kinds()));
  const ScanListing listing = scan_files(bare.folder);
  const std::vector<fs::path>& files = listing.scans;
  if (!bare.sizes.any() && bare.rig.empty())
    throw Error(ErrorKind::usage,
                "nothing says which artefact the scans in " + display(bare.folder) + " show",
                "Add its size: --bar 250, --ball 30 or --plate 300x200; or the rig, and registered "
                "artefacts are recognised: --rig R12/300.");
  Session session;
  session.kind = kind;
  session.procedure =
      load_procedure(find_input("procedures", kind == "interim" ? "interim" : "half-hour"));
  session.procedure.demand.closing_repeat = false;  // a bare folder has no order to close
  session.limits_given = bare.limit_mm.has_value();
  take_rig(bare, session);
  session.artefacts = bare.sizes.any() ? bare.sizes.artefacts() : artefacts_in(files, session);
  session.limits = limits_for(bare, session.artefacts);
  session.date = newest_day(files);
  UnfinishedFolder unfinished = UnfinishedFolder::fresh("rigproof-" + to_string(*session.date));
  session.folder = unfinished.path();
  session.id = session.folder.string();
  std::error_code ec;
  fs::create_directory(session.folder / "scans", ec);
  for (const auto& file : files) {
    stop_if_interrupted();
    const fs::path copy = session.folder / "scans" / file.filename();
    fs::copy_file(file, copy, ec);
    if (ec) throw Error(ErrorKind::io, display(copy) + ": " + ec.message(), "Check free space.");
    session.scans.push_back(copy);
  }
  session.skipped = listing.skipped;
  save_session(session);
  check_readable(session);
  unfinished.keep();
  return session;
}

}  // namespace rigproof
