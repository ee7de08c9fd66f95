#include "app/rig_questions.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "app/volume_from_scans.h"
#include "base/error.h"
#include "base/number.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

const Range kLength = Range::positive(100'000, "mm");

Rig existing_rig(const std::string& name) {
  const auto file = home_folder() / "rigs" / (name + ".toml");
  return load_rig(file);
}

// ---- what the rig exports

void exports(const AddOptions& o, Questions& q, Rig& rig) {
  rig.units = q.text({"--units", "Unit of its exports", rig.units},
                     o["--units"],
                     [](const std::string& t) { unit_to_mm(t); });
  rig.unit_mm = unit_to_mm(rig.units);
  rig.export_kind = q.word({"--export", "It exports points or mesh", rig.export_kind},
                           o["--export"],
                           {"points", "mesh"});
  rig.filter = q.text({"--filter", "What its software does to points before export", rig.filter},
                      o["--filter"]);
  if (rig.axes_stated && rig.axes.empty() && !o["--axes"]) return;  // a transform says it
  const std::string axes =
      q.text({"--axes",
              "Where x, y and z point as seen from behind the rig, e.g. right down away",
              rig.axes_stated ? rig.axes : ""},
             o["--axes"],
             [](const std::string& t) {
               if (!t.empty()) axes_to_sensor(t);
             });
  rig.axes_stated = !axes.empty();
  if (!rig.axes_stated) return;
  rig.axes = axes;
  rig.to_sensor = {axes_to_sensor(axes), Vec3::Zero()};
}

// ---- the field of view

Volume box_volume(const AddOptions& o, Questions& q) {
  const auto size =
      typed_size(q.text({"--size", "Width x height x depth of the field, mm, e.g. 300x200x150", {}},
                        o["--size"],
                        [](const std::string& t) { typed_size(t, 3); }),
                 3);
  Range beyond = kLength;
  beyond.least = size[2] / 2;  // the field begins in front of the rig
  const double middle =
      q.number({"--middle", "Distance of its middle from the rig, mm", {}}, o["--middle"], beyond);
  return Volume::box(size[0], size[1], size[2], middle);
}

/// "1600/1080x780": distance, width and height of a face.
std::vector<double> face(const std::string& text) { return typed_size(text, 3); }

Volume frustum(const AddOptions& o, Questions& q) {
  const auto check = [](const std::string& t) { face(t); };
  const auto near = face(
      q.text({"--near", "Distance / width x height of the near face, mm", {}}, o["--near"], check));
  const auto far = face(
      q.text({"--far", "Distance / width x height of the far face, mm", {}}, o["--far"], check));
  if (near[0] >= far[0])
    throw Error(ErrorKind::usage, "--far is not beyond --near", "The distance comes first.");
  return {near[0], far[0], near[1], near[2], far[1], far[2]};
}

Volume ask_volume(const AddOptions& o, Questions& q, const Rig& rig) {
  const bool faces = o["--near"] || o["--far"], box = o["--size"] || o["--middle"];
  if (faces + box + !o.from.empty() > 1)
    throw Error(ErrorKind::usage,
                "the field of view is given twice",
                "Give --size and --middle, or --near and --far, or --from.");
  if (!o.from.empty()) {
    const VolumeFromScans seen = volume_from_scans(o.from[0], o.from[1], rig);
    for (const std::string& note : seen.notes) q.say(note);
    return seen.volume;
  }
  return faces ? frustum(o, q) : box_volume(o, q);
}

void ask_field(const AddOptions& o, Questions& q, Rig& rig) {
  const Volume volume = ask_volume(o, q, rig);
  const double width = std::max(volume.near_width, volume.far_width);
  const std::string name =
      q.label({"--field", "Name of this field of view", fixed(width, 0)}, o["--field"]);
  const auto same = std::ranges::find(rig.fields, name, &Field::name);
  if (same == rig.fields.end())
    rig.fields.push_back({name, volume});
  else
    same->volume = volume;
}

// ---- cameras

std::array<int, 2> image_size(const std::string& text) {
  const auto px = typed_size(text, 2);
  for (const double n : px)
    if (n != std::floor(n) || n < 16 || n > 100'000)
      throw Error(ErrorKind::usage, "\"" + text + "\" is no image", "Give pixels: 2448x2048.");
  return {static_cast<int>(px[0]), static_cast<int>(px[1])};
}

double focal_px(const AddOptions& o, Questions& q, Stereo& s) {
  s.tape = !o["--focal-px"];
  if (!s.tape)
    return q.number(
        {"--focal-px", "Focal length, pixels", {}}, o["--focal-px"], {10, 1e6, "pixels"});
  const double lens_mm =
      q.number({"--lens", "Focal length of the lenses, mm", {}}, o["--lens"], kLength);
  const double pixel_um =
      q.number({"--pixel", "Pixel pitch of the cameras, µm", {}}, o["--pixel"], {0.1, 1000, "µm"});
  return lens_mm / pixel_um * 1000;
}

/// By tape measure and data sheet, or exact with --focal-px; left out without a baseline.
void cameras(const AddOptions& o, Questions& q, Rig& rig) {
  if (rig.stereo && !o["--baseline"]) return;
  const auto baseline =
      q.maybe_number({"--baseline", "Distance of the two cameras by tape measure, mm", ""},
                     o["--baseline"],
                     kLength);
  if (!baseline) {
    for (const char* option : {"--focal-px", "--lens", "--pixel", "--image", "--aim"})
      if (o[option])
        throw Error(ErrorKind::usage,
                    std::string(option) + " describes cameras, but --baseline is missing",
                    "Give the distance of the two cameras in mm.");
    return;
  }
  Stereo s;
  s.baseline_mm = *baseline;
  const double middle = rig.fields.back().volume.middle().z();
  s.aim_mm = q.number({"--aim", "Distance at which their lines of sight cross, mm", exact(middle)},
                      o["--aim"],
                      kLength);
  s.focal_px = focal_px(o, q, s);
  s.image_px = image_size(q.text({"--image", "Image, pixels, e.g. 2448x2048", {}},
                                 o["--image"],
                                 [](const std::string& t) { image_size(t); }));
  s.board_alpha_per_K =
      q.number({"--board-alpha", "Expansion of the calibration board, ppm/K (0: unknown)", "0"},
               o["--board-alpha"],
               {-20, 200, "ppm/K"}) /
      1e6;
  rig.stereo = s;
}

}  // namespace

Rig ask_rig(const AddOptions& o,
            Questions& q,
            const std::function<void(const std::string&)>& name_known) {
  const std::string id = q.label({"--id", "Name of the rig, e.g. R12", {}}, o["--id"]);
  const std::string name = plain_name(o["--name"] ? *o["--name"] : id);
  name_known(name);
  Rig rig;
  if (o.keep) rig = existing_rig(name);
  rig.id = id;
  rig.serial =
      q.text({"--serial", "Serial number as in scan headers", rig.serial, true}, o["--serial"]);
  exports(o, q, rig);
  ask_field(o, q, rig);
  cameras(o, q, rig);
  rig.lens_locked = rig.lens_locked || o.lens_locked;
  return rig;
}

}  // namespace rigproof
