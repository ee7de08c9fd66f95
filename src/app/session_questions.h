#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "app/asker.h"
#include "inputs/session.h"

namespace rigproof {

/// What `new` was told on the command line.
struct NewOptions {
  std::string folder;  ///< "": named after the session, in the current folder
  std::optional<std::string> rig, after, kind, procedure, limits, calibration, operator_name,
      customer, date, temperature, u_temperature, measured_on, soaked;
  std::vector<std::string> artefacts;
  bool yes = false;  ///< ask nothing
};

/// A session that is not written yet, and where its parts come from.
struct SessionDraft {
  Session session;
  std::filesystem::path rig_file, limits_file, procedure_file;
  std::vector<std::filesystem::path> artefact_files;  ///< in the order of session.artefacts
  std::filesystem::path calibration;  ///< file or folder to copy; "" when words say it, or nothing
  std::vector<std::string> notes;     ///< what the person had better know
};

/// At most a dozen questions. Standard answers come from --after, else from the newest session in
/// the current folder that a real rig was tested in; then from the rig's neighbours in its folder.
SessionDraft ask_session(const NewOptions& options, Questions& questions);

}  // namespace rigproof
