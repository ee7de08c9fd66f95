#include <algorithm>
#include <array>
#include <cstdlib>

#include "base/error.h"
#include "base/input_file.h"
#include "inputs/near_name.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr std::array<std::string_view, 4> kKinds{"rigs", "artefacts", "limits", "procedures"};

std::string variable(const char* name) {
  const char* value = std::getenv(name);
  return value ? value : "";
}

bool is_folder(const fs::path& path) {
  std::error_code ec;
  return fs::is_directory(path, ec);
}

bool is_there(const fs::path& path) {
  std::error_code ec;
  return fs::exists(path, ec);
}

std::vector<std::string> names_in(const fs::path& folder) {
  std::vector<std::string> out;
  std::error_code ec;
  for (fs::directory_iterator it(folder, ec), end; !ec && it != end; it.increment(ec))
    if (it->path().extension() == ".toml" && it->path().filename().string()[0] != '.')
      out.push_back(it->path().stem().string());
  std::ranges::sort(out);
  return out;
}

bool is_path(const std::string& name_or_path) {
  return name_or_path.find('/') != std::string::npos || name_or_path.ends_with(".toml");
}

/// A singular word for messages: "rig".
std::string one_of(const std::string& kind) {
  return kind == "limits" ? kind : kind.substr(0, kind.size() - 1);
}

}  // namespace

std::filesystem::path home_folder() {
  if (const std::string home = variable("RIGPROOF_HOME"); !home.empty()) return home;
  if (const std::string home = variable("HOME"); !home.empty()) return fs::path(home) / "rigproof";
  throw Error(ErrorKind::missing,
              "neither RIGPROOF_HOME nor HOME is set",
              "Set RIGPROOF_HOME to the folder of your rigs and artefacts.");
}

std::filesystem::path share_folder(const std::string& name) {
  if (const std::string share = variable("RIGPROOF_SHARE"); !share.empty()) {
    if (is_folder(fs::path(share) / name)) return fs::path(share) / name;
    throw Error(ErrorKind::missing,
                display(fs::path(share) / name) + ": is not a folder",
                "RIGPROOF_SHARE must name the folder that holds fixtures/ and reports/.");
  }
  std::error_code ec;
  const fs::path program = fs::read_symlink("/proc/self/exe", ec);
  if (!ec) {
    const fs::path beside = program.parent_path().parent_path() / "share" / "rigproof" / name;
    if (is_folder(beside)) return beside;
  }
  const fs::path source = fs::path(RIGPROOF_SOURCE_DIR) / name;
  if (is_folder(source)) return source;
  throw Error(ErrorKind::missing,
              "the folder " + name + " that belongs to the program is not installed",
              "Set RIGPROOF_SHARE to the folder that holds it.");
}

std::vector<std::string> input_names(const std::string& kind) {
  std::vector<std::string> out = names_in(home_folder() / kind);
  for (const auto& name : names_in(share_folder("fixtures") / kind))
    if (std::ranges::find(out, name) == out.end()) out.push_back(name);
  return out;
}

std::filesystem::path find_input(const std::string& kind, const std::string& name_or_path) {
  if (std::ranges::find(kKinds, kind) == kKinds.end())
    throw Error(ErrorKind::internal, "unknown kind of input \"" + kind + "\"");
  if (name_or_path.empty())
    throw Error(ErrorKind::missing,
                "no " + one_of(kind) + " is named",
                "Known: " + listed(input_names(kind)) + ".");
  if (is_path(name_or_path)) {
    if (is_there(name_or_path)) return name_or_path;
    throw Error(ErrorKind::missing,
                display(name_or_path) + ": no such file",
                "Give a path, or one of the names " + listed(input_names(kind)) + ".");
  }
  const std::string file = name_or_path + ".toml";
  for (const fs::path& folder : {home_folder(), share_folder("fixtures")})
    if (is_there(folder / kind / file)) return folder / kind / file;
  throw Error(ErrorKind::missing,
              "there is no " + one_of(kind) + " \"" + display(name_or_path) + "\" in " +
                  display(home_folder() / kind) + " or " + display(share_folder("fixtures") / kind),
              did_you_mean(name_or_path, input_names(kind)));
}

RigField find_rig_field(const std::string& rig_and_field) {
  RigField out;
  const auto slash = rig_and_field.rfind('/');
  std::error_code ec;
  const bool whole = slash == std::string::npos || fs::is_regular_file(rig_and_field, ec);
  out.file = find_input("rigs", whole ? rig_and_field : rig_and_field.substr(0, slash));
  out.rig = load_rig(out.file);
  if (!whole) {
    out.field = out.rig.field(rig_and_field.substr(slash + 1)).name;
    return out;
  }
  if (out.rig.fields.size() != 1) {
    std::vector<std::string> names;
    for (const auto& f : out.rig.fields) names.push_back(out.rig.id + "/" + f.name);
    throw Error(ErrorKind::usage,
                "rig \"" + out.rig.id + "\" has " + std::to_string(names.size()) +
                    " fields of view: say which",
                "Known: " + listed(names) + ".");
  }
  out.field = out.rig.fields[0].name;
  return out;
}

}  // namespace rigproof
