#include "app/session_defaults.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "base/error.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

bool is_there(const fs::path& path) {
  std::error_code ec;
  return fs::exists(path, ec);
}

std::optional<Session> readable(const fs::path& folder) {
  if (!is_there(folder / "session.toml")) return std::nullopt;
  try {
    return load_session(folder);
  } catch (const Error&) {
    return std::nullopt;  // no help for standard answers
  }
}

auto age(const Session& s) {
  std::error_code ec;
  const auto time = fs::last_write_time(s.folder / "session.toml", ec);
  return std::tuple(
      s.date ? std::chrono::sys_days(*s.date) : std::chrono::sys_days{}, time, s.folder.string());
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

/// Length of a plate, longest calibrated distance of a bar, diameter of a ball. mm
double size_of(const Artefact& a) {
  if (a.kind == ArtefactKind::plate) return a.length_mm;
  if (a.kind == ArtefactKind::ball) return a.balls.empty() ? 0 : a.balls[0].diameter.mm;
  double longest = 0;
  for (const auto& d : a.distances) longest = std::max(longest, d.length.mm);
  return longest;
}

std::vector<Artefact> all_in(const fs::path& folder) {
  std::vector<Artefact> out;
  for (const std::string& name : names_in(folder)) try {
      out.push_back(load_artefact(folder / (name + ".toml")));
    } catch (const Error&) {
      continue;
    }
  return out;
}

/// The artefact of a kind whose size within least … most is nearest to `wanted`.
const Artefact* nearest(
    const std::vector<Artefact>& all, ArtefactKind kind, double wanted, double least, double most) {
  const Artefact* best = nullptr;
  for (const Artefact& a : all) {
    const double size = size_of(a);
    if (a.kind != kind || size < least || size > most) continue;
    if (!best || std::abs(size - wanted) < std::abs(size_of(*best) - wanted)) best = &a;
  }
  return best;
}

std::vector<std::string> fitting(const std::vector<Artefact>& all, const Volume& volume) {
  constexpr double kInside = 0.95;  // of the diagonal: the balls have a size, too
  const double L0 = volume.diagonal(), most = kInside * L0;
  const Artefact* chosen[] = {nearest(all, ArtefactKind::bar, 0.3 * L0, 0.3 * L0, 0.6 * L0),
                              nearest(all, ArtefactKind::bar, 0.6 * L0, 0.6 * L0, most),
                              nearest(all, ArtefactKind::plate, 0.5 * L0, 0.5 * L0, most),
                              nearest(all, ArtefactKind::ball, 0.1 * L0, 0.02 * L0, 0.2 * L0)};
  std::vector<std::string> out;
  for (const Artefact* a : chosen)
    if (a) out.push_back(a->name);
  return out;
}

}  // namespace

bool is_sample(const std::filesystem::path& file) {
  std::error_code ec;
  return fs::equivalent(file.parent_path().parent_path(), share_folder("fixtures"), ec);
}

std::optional<Session> newest_session(const std::filesystem::path& folder) {
  std::optional<Session> newest;
  std::error_code ec;
  for (fs::directory_iterator it(folder, ec), end; !ec && it != end; it.increment(ec)) {
    const auto s = readable(it->path());
    if (!s || s->simulated || !s->field()) continue;
    if (!newest || age(*newest) < age(*s)) newest = s;
  }
  return newest;
}

std::filesystem::path file_since(const Session& last,
                                 const std::string& kind,
                                 const std::string& name,
                                 const std::string& copy) {
  const fs::path home = home_folder() / kind / (name + ".toml");
  if (!last.simulated && is_there(home)) return home;
  if (is_there(last.folder / copy)) return last.folder / copy;
  return find_input(kind, name);
}

std::optional<std::string> only_rig_field() {
  const fs::path rigs = home_folder() / "rigs";
  const auto names = names_in(rigs);
  if (names.size() != 1) return std::nullopt;
  try {
    const Rig rig = load_rig(rigs / (names[0] + ".toml"));
    if (rig.fields.size() == 1) return names[0] + "/" + rig.fields[0].name;
  } catch (const Error&) {
    return std::nullopt;
  }
  return std::nullopt;
}

std::string limits_beside(const std::filesystem::path& rig_file, const std::string& rig_id) {
  const std::string name = rig_id + "-agreed";
  const fs::path home = home_folder() / "limits" / (name + ".toml");
  const fs::path beside = rig_file.parent_path().parent_path() / "limits" / (name + ".toml");
  return is_there(home) || (is_sample(rig_file) && is_there(beside)) ? name : "none";
}

std::vector<std::string> fitting_artefacts(const std::filesystem::path& rig_file,
                                           const Volume& volume) {
  std::vector<Artefact> all = all_in(home_folder() / "artefacts");
  auto names = fitting(all, volume);
  if (!is_sample(rig_file) || !names.empty()) return names;
  return fitting(all_in(share_folder("fixtures") / "artefacts"), volume);
}

}  // namespace rigproof
