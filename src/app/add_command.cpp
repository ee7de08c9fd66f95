#include "app/add_command.h"

#include <algorithm>
#include <memory>

#include <fmt/format.h>

#include "app/artefact_questions.h"
#include "app/console.h"
#include "app/limits_questions.h"
#include "app/rig_questions.h"
#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "inputs/near_name.h"
#include "inputs/session.h"
#include "inputs/toml_writer.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

struct AddOption {
  const char *name, *value, *help;
  const char* of;  ///< the kinds that it describes, each with a space behind it
};

constexpr char kArtefacts[] = "ball bar plate ";

// clang-format off
constexpr AddOption kOptions[] = {
    {"--name", "NAME", "of the file (needed for limits; else from serial or id)",
     "ball bar plate rig limits "},
    {"--serial", "TEXT", "serial number of the artefact or rig", "ball bar plate rig "},
    {"--material", "TEXT", "its thermal expansion is looked up (default steel)", kArtefacts},
    {"--alpha", "PPM", "thermal expansion, ppm/K, instead of the table's", kArtefacts},
    {"--u-alpha", "PPM", "its standard uncertainty, ppm/K", kArtefacts},
    {"--diameter", "MM", "calibrated diameter", "ball "},
    {"--form", "UM", "calibrated form error (default 0: not stated)", "ball "},
    {"--size", "LxW|WxHxD", "plate: length x width; rig: width x height x depth; mm",
     "plate rig "},
    {"--border", "MM", "edge of the plate that is not evaluated (default 3)", "plate "},
    {"--flatness", "UM", "calibrated flatness", "plate "},
    {"--U", "UM", "expanded uncertainty of diameter or flatness", "ball plate "},
    {"--certificate", "TEXT", "its number", kArtefacts},
    {"--laboratory", "TEXT", "who calibrated it", kArtefacts},
    {"--date", "DATE", "of the calibration, or when limits were agreed (default today)",
     "ball bar plate limits "},
    {"--due", "DATE", "when the next calibration is due", kArtefacts},
    {"--k", "K", "coverage factor of the uncertainties (default 2)", kArtefacts},
    {"--reference", "C", "reference temperature (default 20)", kArtefacts},
    {"--drift", "UM", "drift a year (default 0)", kArtefacts},
    {"--support", "TEXT", "how it is held", kArtefacts},
    {"--surface", "TEXT", "e.g. matt", kArtefacts},
    {"--coating", "UM", "thickness of a spray coating (default 0)", kArtefacts},
    {"--id", "ID", "name of the rig", "rig "},
    {"--units", "U", "of its exports: mm, cm, m, um, inch (default mm)", "rig "},
    {"--export", "KIND", "points or mesh (default points)", "rig "},
    {"--filter", "TEXT", "what its software does to points (default none)", "rig "},
    {"--axes", "WORDS", "where x y z point from behind the rig, \"right down away\"", "rig "},
    {"--field", "NAME", "of the field of view (default its width)", "rig "},
    {"--middle", "MM", "distance of the field's middle", "rig "},
    {"--near", "Z/WxH", "distance and size of the near face, mm", "rig "},
    {"--far", "Z/WxH", "distance and size of the far face, mm", "rig "},
    {"--baseline", "MM", "distance of the two cameras", "rig "},
    {"--aim", "MM", "where their lines of sight cross (default the field's middle)", "rig "},
    {"--lens", "MM", "focal length of the lenses", "rig "},
    {"--pixel", "UM", "pixel pitch", "rig "},
    {"--focal-px", "PX", "focal length in pixels, instead of --lens and --pixel", "rig "},
    {"--image", "WxH", "pixels of an image", "rig "},
    {"--board-alpha", "PPM", "expansion of the calibration board, ppm/K", "rig "},
    {"--rule", "RULE", "simple, proven or guarded (default proven)", "limits "},
    {"--w", "MM", "guard band of the guarded rule", "limits "},
    {"--set-by", "TEXT", "with whom the limits were agreed", "limits "},
    {"--role", "TEXT", "who carries the burden of proof", "limits "},
};
// clang-format on

const std::vector<std::string> kKinds{"ball", "bar", "plate", "rig", "limits"};

bool belongs(const char* of, const std::string& what) {
  return std::string(of).find(what + " ") != std::string::npos;
}

/// An option that does not describe this kind is a slip, never silently dropped.
void check_options(const AddOptions& o) {
  if (std::ranges::find(kKinds, o.what) == kKinds.end())
    throw Error(
        ErrorKind::usage, "\"" + o.what + "\" cannot be added", did_you_mean(o.what, kKinds));
  std::vector<std::string> strange;
  for (const AddOption& option : kOptions)
    if (o[option.name] && !belongs(option.of, o.what)) strange.push_back(option.name);
  const bool bar = o.what == "bar", rig = o.what == "rig";
  if (!bar && !o.balls.empty()) strange.push_back("--ball");
  if (!bar && !o.distances.empty()) strange.push_back("--distance");
  if (!rig && !o.from.empty()) strange.push_back("--from");
  if (!rig && o.keep) strange.push_back("--keep");
  if (!rig && o.lens_locked) strange.push_back("--lens-locked");
  if (o.what != "limits" && !o.limits.empty()) strange.push_back("--limit");
  if (!strange.empty())
    throw Error(ErrorKind::usage,
                strange[0] + " says nothing about " + (o.what == "limits" ? "" : "a ") + o.what,
                "Leave it out; rigproof add --help shows what belongs to what.");
}

/// Reads the text back before it comes under its name: nothing wrong is ever written, and what is
/// read is what was answered. `load` sees a hidden file that is gone afterwards.
template <class T>
void write_checked(const fs::path& file, const T& value, T (*load)(const fs::path&)) {
  std::error_code ec;
  fs::create_directories(file.parent_path(), ec);
  if (ec)
    throw Error(ErrorKind::cannot_create,
                display(file.parent_path()) + ": cannot be created: " + ec.message(),
                "Set RIGPROOF_HOME to a folder where you may write.");
  struct Trial {
    fs::path path;
    ~Trial() {
      std::error_code ignored;
      fs::remove(path, ignored);
    }
  } const trial{file.parent_path() / ("." + file.filename().string() + ".trial")};
  const std::string text = to_toml(value);
  write_atomically(trial.path, text);
  try {
    if (to_toml(load(trial.path)) != text)
      throw Error(ErrorKind::internal,
                  display(file) + ": would not read back as it was written",
                  "Please report this with the answers.");
  } catch (const Error& error) {
    std::string what = error.what();
    const std::string place = display(trial.path);
    if (const auto at = what.find(place); at != std::string::npos)
      what.replace(at, place.size(), "what was answered, as " + file.filename().string());
    throw Error(error.kind() == ErrorKind::config ? ErrorKind::usage : error.kind(),
                what,
                error.next_step());
  }
  write_atomically(file, text);
}

void refuse_overwriting(const AddOptions& o, const fs::path& file) {
  std::error_code ec;
  if (!fs::exists(fs::symlink_status(file, ec))) return;
  if (o.replace || o.keep) return;
  throw Error(ErrorKind::cannot_create,
              display(file) + ": is there already",
              o.what == "rig"
                  ? "Add --keep to give it another field of view, --replace to write it "
                    "anew, or choose another --name."
                  : "Add --replace to write it anew, or choose another --name.");
}

std::string next_step(const std::string& what, const fs::path& file) {
  const std::string name = file.stem().string();
  if (what == "rig") return "rigproof new --rig " + name + "/FIELD";
  if (what == "limits") return "rigproof new --limits " + name;
  return "rigproof new --artefact " + name;
}

int run_add(const AddOptions& o, const Console& console) {
  TerminalAsker asker(console);
  const fs::path file = add_input(o, asker);
  std::string next = next_step(o.what, file);
  if (o.what == "rig") {
    const Rig rig = load_rig(file);
    next.replace(next.find("FIELD"), 5, o["--field"] ? *o["--field"] : rig.fields.back().name);
  }
  if (console.json)
    console.result(fmt::format(
        "{{\"file\": {}, \"next_step\": {}}}", toml_text(display(file)), toml_text(next)));
  else
    console.result(display(file));
  console.talk("Next: " + display(next));
  return 0;
}

}  // namespace

const std::optional<std::string>& AddOptions::operator[](const std::string& option) const {
  static const std::optional<std::string> nothing;
  const auto it = given.find(option);
  return it == given.end() ? nothing : it->second;
}

std::filesystem::path add_input(const AddOptions& o, Asker& asker) {
  check_options(o);
  Questions questions(asker, false);
  const std::string folder = o.what == "rig" ? "rigs" : o.what == "limits" ? "limits" : "artefacts";
  fs::path file;
  const auto name_known = [&](const std::string& name) {
    file = home_folder() / folder / (name + ".toml");
    refuse_overwriting(o, file);
  };
  if (o.what == "rig") {
    const Rig rig = ask_rig(o, questions, name_known);
    write_checked(file, rig, &load_rig);
  } else if (o.what == "limits") {
    const Limits limits = ask_limits(o, questions, name_known);
    write_checked(file, limits, &load_limits);
  } else {
    const ArtefactKind kind = o.what == "ball"  ? ArtefactKind::ball
                              : o.what == "bar" ? ArtefactKind::bar
                                                : ArtefactKind::plate;
    const Artefact artefact = ask_artefact(kind, o, questions, name_known);
    write_checked(file, artefact, &load_artefact);
  }
  return file;
}

Command add_command() {
  auto o = std::make_shared<AddOptions>();
  Option what{"WHAT", "ball|bar|plate|rig|limits", "what is added", &o->what};
  what.required = true;
  std::vector<Option> options{what};
  for (const AddOption& option : kOptions)
    options.push_back(
        {option.name,
         option.value,
         "(" + std::string(option.of, std::string(option.of).size() - 1) + ") " + option.help,
         &o->given[option.name]});
  Option from{"--from",
              "NEAR FAR",
              "(rig) the field of view from two scans of anything flat that fills it",
              &o->from};
  from.values = 2;
  options.push_back(from);
  options.push_back({"--ball", "ID=MM/U/FORM", "(bar) mm, µm, µm; once a ball", &o->balls});
  options.push_back({"--distance", "A-B=MM/U", "(bar) mm, µm; once a distance", &o->distances});
  options.push_back({"--limit",
                     "ID=MM",
                     "(limits) sphere_spacing=0.03 or sphere_spacing=0.010+L/15000; once a limit",
                     &o->limits});
  options.push_back({"--lens-locked", "", "(rig) focus and aperture are locked", &o->lens_locked});
  options.push_back({"--keep", "", "(rig) an existing rig keeps what is not named", &o->keep});
  options.push_back({"--replace", "", "write anew what is there already", &o->replace});
  return {"add",
          "Asks, and writes the file of an artefact, a rig or agreed limits.",
          {"rigproof add bar",
           "rigproof add bar --serial 250-07 --material \"carbon fibre\" --ball A=30.0012/0.8 "
           "--ball B=30.0007/0.8 --distance A-B=250.0123/1.1",
           "rigproof add rig --id R12 --axes \"right down away\" --from near.ply far.ply"},
          std::move(options),
          "0 written · 64–78 errors (73: the file is there already)",
          [o](Console& console) { return run_add(*o, console); }};
}

}  // namespace rigproof
