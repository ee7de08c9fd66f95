#include "app/new_session.h"

#include <algorithm>

#include "app/interrupt.h"
#include "app/unfinished_folder.h"
#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "inputs/session_folder.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

// ---- what is copied

void copy_one(const fs::path& from, const fs::path& to) {
  stop_if_interrupted();
  std::error_code ec;
  if (!fs::is_regular_file(from, ec))
    throw Error(ErrorKind::data,
                display(from) + ": is not a regular file",
                "A calibration is copied whole into the session; take this out of its folder.");
  fs::copy_file(from, to, ec);
  if (ec)
    throw Error(
        ErrorKind::io, display(from) + ": cannot be copied: " + ec.message(), "Check free space.");
}

/// Returns the calibration as session.toml names it.
std::string copy_calibration(const fs::path& from, const fs::path& session) {
  const fs::path into = session / "calibration";
  std::error_code ec;
  fs::create_directory(into, ec);
  if (ec) cannot_create(into, ec.message());
  if (!fs::is_directory(from, ec)) {
    copy_one(from, into / from.filename());
    return "calibration/" + from.filename().string();
  }
  if (is_inside(from, session))
    throw Error(ErrorKind::usage,
                display(from) + ": the new session would lie inside its own calibration",
                "Name the folder that holds the calibration alone.");
  fs::recursive_directory_iterator it(from, ec), end;
  for (; !ec && it != end; it.increment(ec)) {
    const fs::path to = into / it->path().lexically_relative(from);
    std::error_code made;
    if (it->is_directory(made) && !it->is_symlink(made))
      fs::create_directory(to, made);
    else
      copy_one(it->path(), to);
    if (made) cannot_create(to, made.message());
  }
  if (ec)
    throw Error(ErrorKind::missing,
                display(from) + ": cannot be read: " + ec.message(),
                "Check the permissions of the calibration.");
  return "calibration/";
}

void copy_text(const fs::path& from, const fs::path& to) { write_atomically(to, read_text(from)); }

/// The files as they are, with their comments; save_session writes anew what must differ.
void copy_inputs(const SessionDraft& d, const fs::path& folder) {
  copy_text(d.rig_file, folder / "rig.toml");
  copy_text(d.procedure_file, folder / "procedure.toml");
  if (d.session.limits_given) copy_text(d.limits_file, folder / "limits.toml");
  for (std::size_t i = 0; i < d.artefact_files.size(); ++i) {
    const std::string& name = d.session.artefacts[i].name;
    if (plain_name(name) == name)
      copy_text(d.artefact_files[i], folder / "artefacts" / (name + ".toml"));
  }
}

void check_written(const Session& s) {
  const Session read = load_session(s.folder);
  bool same = to_toml(read) == to_toml(s) && to_toml(read.rig) == to_toml(s.rig) &&
              to_toml(read.limits) == to_toml(s.limits) &&
              to_toml(read.procedure) == to_toml(s.procedure) &&
              read.artefacts.size() == s.artefacts.size() && read.looked_up.empty();
  for (const Artefact& a : s.artefacts) {
    const auto it = std::ranges::find(read.artefacts, a.serial, &Artefact::serial);
    same = same && it != read.artefacts.end() && to_toml(*it) == to_toml(a);
  }
  if (!same)
    throw Error(ErrorKind::internal,
                display(s.folder) + ": the session would not read back as it was written",
                "Please report this with the answers.");
}

}  // namespace

Session make_session(const SessionDraft& draft, const std::filesystem::path& folder) {
  Session s = draft.session;
  UnfinishedFolder unfinished =
      folder.empty() ? UnfinishedFolder::fresh(s.id) : UnfinishedFolder(folder);
  s.folder = unfinished.path();
  if (folder.empty()) s.id = s.folder.string();
  for (const char* name : {"scans", "photos", "artefacts"}) {
    std::error_code ec;
    fs::create_directory(s.folder / name, ec);
    if (ec) cannot_create(s.folder / name, ec.message());
  }
  copy_inputs(draft, s.folder);
  std::error_code ec;
  if (!draft.calibration.empty())
    s.calibration = copy_calibration(draft.calibration, s.folder);
  else if (!s.calibration.empty() && fs::exists(s.folder / s.calibration, ec))
    throw Error(ErrorKind::usage,
                "--calibration \"" + s.calibration + "\" is the name of a part of every session",
                "Describe the calibration in other words, or name its file.");
  stop_if_interrupted();
  save_session(s);
  check_written(s);
  stop_if_interrupted();
  unfinished.keep();
  return s;
}

}  // namespace rigproof
