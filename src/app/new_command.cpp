#include "app/new_command.h"

#include <memory>

#include <fmt/format.h>

#include "app/console.h"
#include "app/new_session.h"
#include "app/session_questions.h"
#include "base/input_file.h"
#include "inputs/toml_writer.h"

namespace rigproof {
namespace {

int run_new(const NewOptions& o, const Console& console) {
  TerminalAsker asker(console);
  Questions questions(asker, o.yes);
  const SessionDraft draft = ask_session(o, questions);
  const Session made = make_session(draft, o.folder);
  const std::string folder = display(made.folder);
  for (const std::string& note : draft.notes) console.talk("Note: " + display(note));
  const std::string next = fmt::format(
      "rigproof plan {0} (where to put the artefacts); with scans at hand put them into "
      "{0}/scans, then: rigproof assess {0}",
      folder);
  if (console.json)
    console.result(fmt::format("{{\"session\": {}, \"id\": {}, \"next_step\": {}}}",
                               toml_text(folder),
                               toml_text(made.id),
                               toml_text(next)));
  else
    console.result(folder);
  console.talk("Next: " + next);
  return 0;
}

}  // namespace

Command new_command() {
  auto o = std::make_shared<NewOptions>();
  return {
      "new",
      "A session folder, complete in itself, ready for scans.",
      {"rigproof new --rig R12/300",
       "rigproof new monday --after 2026-03-14-R12-300-acceptance --kind interim --yes",
       "rigproof new --rig R12/300 --artefact bar-250-07 --limits R12-agreed --temperature 20.4"},
      {{"DIR", "DIR", "an empty or new folder (default DATE-RIG-FIELD-KIND)", &o->folder},
       {"--rig", "R/FIELD", "the rig and its field of view", &o->rig},
       {"--after",
        "SESSION",
        "take standard answers from this session (default the newest in the current folder)",
        &o->after},
       {"--kind", "K", "acceptance, reverification, interim, as-found, as-left", &o->kind},
       {"--procedure", "P", "a procedure's name or file", &o->procedure},
       {"--limits", "L", "name or file of agreed limits, or none", &o->limits},
       {"--artefact", "A", "name or file of an artefact; once each", &o->artefacts},
       {"--calibration",
        "C",
        "the rig's calibration: a file or folder to copy, or words",
        &o->calibration},
       {"--operator", "NAME", "who measures", &o->operator_name},
       {"--customer", "NAME", "for whom", &o->customer},
       {"--date", "DATE", "day of the test, YYYY-MM-DD (default today)", &o->date},
       {"--temperature", "C", "of the artefacts, °C", &o->temperature},
       {"--u-temperature", "K", "its standard uncertainty", &o->u_temperature},
       {"--measured-on", "artefact|room", "where it was measured", &o->measured_on},
       {"--soaked", "H", "hours that the artefacts have lain beside the rig", &o->soaked},
       {"--yes", "", "ask nothing: take the standard answers", &o->yes}},
      "0 made · 64–78 errors; then nothing is left behind (73: the folder is not empty)",
      [o](Console& console) { return run_new(*o, console); }};
}

}  // namespace rigproof
