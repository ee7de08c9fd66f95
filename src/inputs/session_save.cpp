#include <algorithm>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"
#include "inputs/session.h"
#include "inputs/session_folder.h"
#include "inputs/toml_writer.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

void write_environment(TomlWriter& w, const Environment& e) {
  TomlWriter part;
  const auto number = [&](const char* key, const std::optional<double>& value) {
    if (value) part.number(key, *value);
  };
  number("artefact_C", e.artefact_C);
  number("u_artefact_C", e.u_artefact_C);
  part.text("measured_on", e.measured_on);
  number("soaked_h", e.soaked_h);
  number("artefact_C_end", e.artefact_C_end);
  part.text("log", e.log);
  if (part.str().empty()) return;
  w.heading("[environment]");
  w.line(part.str().substr(0, part.str().size() - 1));
}

void write_override(TomlWriter& w, const ScanOverride& o) {
  w.heading("[[scan]]");
  w.text("file", o.file);
  w.text("artefact", o.artefact);
  w.text("place", o.place);
  w.text("withdrawn", o.withdrawn);
  w.text("retest", o.retest);
  if (!o.transform) return;
  w.line("transform = [");
  for (int i = 0; i < 4; ++i) {
    const auto* row = o.transform->data() + std::ptrdiff_t{4} * i;
    w.line("  " + toml_numbers({row, row + 4}) + ",");
  }
  w.line("]");
}

std::string zone_counts(const std::map<std::string, int>& views) {
  std::string out;
  for (const auto& [zone, count] : views)
    out += (out.empty() ? "" : ", ") + zone + " = " + std::to_string(count);
  return "views_per_zone = { " + out + " }";
}

template <class Load>
bool means_the_same(const fs::path& file, const std::string& text, Load load) {
  try {
    return to_toml(load(file)) == text;
  } catch (const Error&) {
    return false;  // absent or unreadable
  }
}

/// Leaves a file alone that already means the same, so that its comments stay.
template <class Load>
void save(const fs::path& file, const std::string& text, Load load) {
  if (!means_the_same(file, text, load)) write_atomically(file, text);
}

std::string file_name(const Artefact& a) {
  std::string name = a.name.empty() ? to_string(a.kind) + "-" + a.serial : a.name;
  for (char& c : name) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       c == '-' || c == '.' || static_cast<unsigned char>(c) >= 0x80;
    if (!plain) c = '_';
  }
  if (name.starts_with('.')) name[0] = '_';
  return name;
}

void make_folder(const fs::path& folder) {
  std::error_code ec;
  fs::create_directories(folder, ec);
  if (ec)
    throw Error(ErrorKind::cannot_create,
                display(folder) + ": cannot be created: " + ec.message(),
                "Choose a folder where you may write.");
}

}  // namespace

std::string to_toml(const Session& s) {
  TomlWriter w;
  w.line("schema = 1");
  w.text("id", s.id);
  w.text("kind", s.kind);
  w.date("date", s.date);
  if (s.rig_given) w.text("rig", s.rig.id);
  w.text("field", s.field_name);
  w.text("procedure", s.procedure.name);
  if (s.limits_given) w.text("limits", s.limits.name);
  w.text("calibration", s.calibration);
  if (!s.views_per_zone.empty()) w.line(zone_counts(s.views_per_zone));
  w.text("operator", s.operator_name);
  w.text("customer", s.customer);
  if (s.simulated) w.flag("simulated", true);
  write_environment(w, s.environment);
  if (!s.environment.support.empty()) w.heading("[support]");
  for (const auto& [serial, words] : s.environment.support)
    w.line(toml_text(serial) + " = " + toml_text(words));
  for (const ScanOverride& o : s.overrides) write_override(w, o);
  return w.str();
}

void save_session(const Session& s) {
  make_folder(s.folder / "artefacts");
  save(s.folder / "rig.toml", to_toml(s.rig), load_rig);
  if (s.limits_given) save(s.folder / "limits.toml", to_toml(s.limits), load_limits);
  save(s.folder / "procedure.toml", to_toml(s.procedure), load_procedure);
  std::vector<std::string> taken;
  for (const Artefact& a : s.artefacts) {
    std::string name = file_name(a);
    for (int n = 2; std::ranges::find(taken, name) != taken.end(); ++n)
      name = file_name(a) + "-" + std::to_string(n);
    taken.push_back(name);
    save(path_within(s.folder, "artefacts/" + name + ".toml"), to_toml(a), load_artefact);
  }
  // Last, so that a folder with a session.toml has what it names.
  save(s.folder / "session.toml", to_toml(s), [&](const fs::path&) {
    return load_session(s.folder);
  });
}

}  // namespace rigproof
