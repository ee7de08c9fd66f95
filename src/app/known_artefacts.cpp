#include "app/known_artefacts.h"

#include <algorithm>

#include "assess/assess.h"
#include "base/error.h"
#include "base/input_file.h"
#include "plan/plan.h"

namespace rigproof {

std::vector<Artefact> known_artefacts(std::vector<std::string>& problems) {
  std::vector<Artefact> out;
  for (const std::string& name : input_names("artefacts")) {
    try {
      Artefact a = load_artefact(find_input("artefacts", name));
      a.name = name;
      if (std::ranges::find(out, a.serial, &Artefact::serial) == out.end()) out.push_back(a);
    } catch (const Error& error) {
      problems.push_back(error.what());
    }
  }
  return out;
}

std::vector<Artefact> artefacts_in(const std::vector<std::filesystem::path>& scans,
                                   const Session& session) {
  std::vector<std::string> unread;
  Session trial = session;
  trial.artefacts = known_artefacts(unread);
  if (const Field* field = session.field())
    std::erase_if(trial.artefacts, [&](const Artefact& a) {
      return !fit_of(a, session.rig, *field, session.procedure).lean_deg;
    });
  std::vector<Artefact> out;
  for (const auto& file : scans) {
    const ScanPass pass = assess_scan(trial, file);
    const auto shown = std::ranges::find(trial.artefacts, pass.record.artefact, &Artefact::serial);
    if (shown == trial.artefacts.end()) {
      std::string why;
      for (const Finding& f : pass.findings)
        if (f.severity == Severity::stop && why.empty()) why = ": " + f.text;
      throw Error(ErrorKind::data,
                  display(file) + ": shows no registered artefact that fits this field" + why,
                  "Register it with rigproof add, or give its size: --bar 250.");
    }
    if (std::ranges::find(out, shown->serial, &Artefact::serial) == out.end())
      out.push_back(*shown);
  }
  return out;
}

}  // namespace rigproof
