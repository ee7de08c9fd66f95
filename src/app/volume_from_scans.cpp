#include "app/volume_from_scans.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"
#include "evidence/quantile.h"
#include "scan/scan.h"

namespace rigproof {
namespace {

constexpr double kStrayGate = 5;  // median absolute deviations: 3.4 σ, 2.5 half-widths of a slope
constexpr double kLeastGate_mm = 0.5;
constexpr double kOffAxis = 0.1;  // of the width

struct Face {
  double z = 0, width = 0, height = 0;
  Vec3 middle = Vec3::Zero();
  std::size_t points = 0, strays = 0;
};

double tenth(double mm) { return std::round(mm * 10) / 10; }

Face face_of(const std::filesystem::path& file, const Rig& rig) {
  ScanOptions options;
  options.unit_mm = rig.unit_mm;
  options.to_sensor = rig.to_sensor;
  options.hash = false;
  const Scan scan = Scan::open(file, options);
  const Points& points = scan.sample();
  if (points.size() < 100)
    throw Error(ErrorKind::data,
                display(file) + ": holds " + std::to_string(points.size()) + " points",
                "Scan something flat that fills the field of view.");
  std::vector<double> z(points.size()), away(points.size());
  for (std::size_t i = 0; i < z.size(); ++i) z[i] = points.at(i).z();
  Face face;
  face.z = median(z);
  for (std::size_t i = 0; i < z.size(); ++i) away[i] = std::abs(z[i] - face.z);
  const double gate = std::max(kStrayGate * median(away), kLeastGate_mm);
  Box box;
  for (std::size_t i = 0; i < z.size(); ++i)
    if (std::abs(z[i] - face.z) <= gate)
      box.add(points.at(i));
    else
      ++face.strays;
  face.points = points.size();
  face.z = tenth(face.z);
  face.width = tenth(box.hi.x() - box.lo.x());
  face.height = tenth(box.hi.y() - box.lo.y());
  face.middle = 0.5 * (box.lo + box.hi);
  if (!(face.width > 0 && face.height > 0))
    throw Error(ErrorKind::data,
                display(file) + ": its points lie on a line",
                "Scan something flat that fills the field of view, square to the rig.");
  return face;
}

std::string described(const char* which, const Face& f) {
  return fmt::format(
      "{}: at {} mm, {} x {} mm{}",
      which,
      exact(f.z),
      exact(f.width),
      exact(f.height),
      f.strays ? fmt::format(" ({} of {} points left out as strays)", f.strays, f.points) : "");
}

/// The volume stands about the rig's axis; a face beside it means another origin or other axes.
void note_off_axis(const char* which, const Face& f, std::vector<std::string>& notes) {
  const double aside = std::hypot(f.middle.x(), f.middle.y());
  if (aside > kOffAxis * f.width)
    notes.push_back(fmt::format(
        "{}: its middle lies {} mm beside the axis of the rig, about which the field of view is "
        "written. If the exported origin is not midway between the cameras, give the rig file a "
        "transform in place of axes.",
        which,
        fixed(aside, 1)));
}

}  // namespace

VolumeFromScans volume_from_scans(const std::filesystem::path& near,
                                  const std::filesystem::path& far,
                                  const Rig& rig) {
  const Face n = face_of(near, rig), f = face_of(far, rig);
  if (n.z <= 0 || f.z <= 0)
    throw Error(
        ErrorKind::data,
        fmt::format(
            "the scans lie at {} and {} mm: not in front of the rig", exact(n.z), exact(f.z)),
        "Say with --axes where x, y and z point, e.g. --axes \"right up towards\".");
  if (n.z >= f.z)
    throw Error(
        ErrorKind::data,
        fmt::format("the near scan lies at {} mm, the far one at {} mm", exact(n.z), exact(f.z)),
        "Name the nearer scan first: --from NEAR FAR.");
  VolumeFromScans out;
  out.volume = {n.z, f.z, n.width, n.height, f.width, f.height};
  out.notes = {described("near", n), described("far", f)};
  note_off_axis("near", n, out.notes);
  note_off_axis("far", f, out.notes);
  return out;
}

}  // namespace rigproof
