#include <algorithm>

#include "base/error.h"
#include "base/number.h"
#include "inputs/near_name.h"
#include "inputs/rig_parts.h"
#include "inputs/session.h"
#include "inputs/toml_reader.h"
#include "inputs/toml_writer.h"

namespace rigproof {
namespace {

constexpr double kFarthest_mm = 100'000;

// ---- fields of view

struct Face {
  double z, width, height;
};

Face face(const TomlTable& t, std::string_view key) {
  const TomlTable f = t.table(key);
  const Range length = Range::positive(kFarthest_mm, "mm");
  const Face out{f.number("z", length), f.number("width", length), f.number("height", length)};
  f.finish();
  return out;
}

Volume box(const TomlTable& t) {
  const Range length = Range::positive(kFarthest_mm, "mm");
  const auto size = t.numbers("size_mm", length, 3, 3);
  const double middle = t.number("middle_mm", length);
  if (middle <= size[2] / 2)
    t.fail_at("middle_mm",
              "the field would begin behind the rig: its middle is at " + exact(middle) +
                  " mm and it is " + exact(size[2]) + " mm deep",
              "middle_mm is the distance from the rig to the middle of the measuring volume.");
  return Volume::box(size[0], size[1], size[2], middle);
}

Volume volume(const TomlTable& t) {
  const bool frustum = t.has("near") || t.has("far");
  if (!frustum) return box(t);
  if (t.has("size_mm") || t.has("middle_mm"))
    t.fail("the field has both size_mm and near/far",
           "Give size_mm and middle_mm, or near and far.");
  const Face near = face(t, "near"), far = face(t, "far");
  if (near.z >= far.z)
    t.fail_at("far",
              "far.z " + exact(far.z) + " mm is not beyond near.z " + exact(near.z) + " mm",
              "near is the face of the measuring volume next to the rig.");
  return {near.z, far.z, near.width, near.height, far.width, far.height};
}

void read_fields(const TomlTable& t, Rig& rig) {
  for (const TomlTable& entry : t.tables("field", 100)) {
    const Field field{entry.label("name"), volume(entry)};
    if (std::ranges::find(rig.fields, field.name, &Field::name) != rig.fields.end())
      entry.fail_at("name",
                    "field \"" + field.name + "\" is listed twice",
                    "Give every field of view its own name.");
    entry.finish();
    rig.fields.push_back(field);
  }
}

std::string written(const char* name, const Face& f) {
  return std::string(name) + " = { z = " + exact(f.z) + ", width = " + exact(f.width) +
         ", height = " + exact(f.height) + " }";
}

std::string written(const Volume& v) {
  const double depth = v.far_mm - v.near_mm, middle = (v.near_mm + v.far_mm) / 2;
  const Volume same = Volume::box(v.near_width, v.near_height, depth, middle);
  if (v.far_width == v.near_width && v.far_height == v.near_height && same.near_mm == v.near_mm &&
      same.far_mm == v.far_mm)
    return "size_mm = " + toml_numbers({v.near_width, v.near_height, depth}) +
           "\nmiddle_mm = " + exact(middle);
  return written("near", {v.near_mm, v.near_width, v.near_height}) + "\n" +
         written("far", {v.far_mm, v.far_width, v.far_height});
}

// ---- noise reference

void read_noise(const TomlTable& root, Rig& rig) {
  const auto t = root.maybe_table("noise");
  if (!t) return;
  NoiseReference n;
  n.sd_mm = t->small_length("sd", Range::positive(100'000, "µm"));
  n.area_px = t->number("area_px", Range::positive(1e6, "points"));
  n.pitch_px = t->number("pitch_px", Range::positive(1000, "pixels"), n.pitch_px);
  n.lags = t->numbers("lags", {-1, 1, "", false}, 0, 64);
  n.second_difference_ratio = t->number("second_difference_ratio", Range::from_zero(10, ""));
  n.from = t->text("from", "");
  t->finish();
  rig.noise = n;
}

void write_noise(TomlWriter& w, const NoiseReference& n) {
  w.heading("[noise]");
  w.line(toml_small_length("sd", n.sd_mm));
  w.number("area_px", n.area_px);
  if (n.pitch_px > 0) w.number("pitch_px", n.pitch_px);
  w.line("lags = " + toml_numbers(n.lags));
  w.number("second_difference_ratio", n.second_difference_ratio);
  w.text("from", n.from);
}

void read_export(const TomlTable& t, Rig& rig) {
  rig.units = t.text("units", rig.units);
  try {
    rig.unit_mm = unit_to_mm(rig.units);
  } catch (const Error& error) {
    t.fail_at("units", error.what(), error.next_step());
  }
  rig.export_kind = t.word("export", {"points", "mesh"}, rig.export_kind);
  rig.filter = t.text("filter", rig.filter);
}

}  // namespace

const Field& Rig::field(const std::string& name) const {
  const auto it = std::ranges::find(fields, name, &Field::name);
  if (it != fields.end()) return *it;
  std::vector<std::string> names;
  for (const auto& f : fields) names.push_back(f.name);
  throw Error(ErrorKind::config,
              "rig \"" + id + "\" has no field of view \"" + name + "\"",
              did_you_mean(name, names));
}

Rig load_rig(const std::filesystem::path& file) {
  const TomlTable t = TomlTable::load(file);
  Rig rig;
  rig.id = t.label("id");
  rig.serial = t.text("serial", "");
  read_export(t, rig);
  read_axes(t, rig);
  rig.lens_locked = t.flag("lens_locked", false);
  rig.simulated = t.flag("simulated", false);
  read_fields(t, rig);
  read_stereo(t, rig);
  read_noise(t, rig);
  t.finish();
  return rig;
}

std::string to_toml(const Rig& rig) {
  TomlWriter w;
  w.text("id", rig.id);
  w.text("serial", rig.serial);
  w.text("units", rig.units);
  w.text("export", rig.export_kind);
  w.text("filter", rig.filter);
  write_axes(w, rig);
  if (rig.lens_locked) w.flag("lens_locked", true);
  if (rig.simulated) w.flag("simulated", true);
  for (const Field& field : rig.fields) {
    w.heading("[[field]]");
    w.text("name", field.name);
    w.line(written(field.volume));
  }
  write_stereo(w, rig);
  if (rig.noise) write_noise(w, *rig.noise);
  return w.str();
}

}  // namespace rigproof
