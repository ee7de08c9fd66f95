// One scan of the virtual rig as a shaded picture, lit from the upper left: every pixel of the
// picture is a pixel of camera 1, black where the scan has no point.
// Usage: shade_scan RIG SCAN FILE.png; SCAN counts the positions of single-view from 1

#include <cstdlib>
#include <cstring>
#include <iostream>

#include <Eigen/Geometry>
#include <png.h>

#include "base/atomic_file.h"
#include "base/error.h"
#include "simulate/session_setup.h"

namespace {

using namespace rigproof;

constexpr int kWide = 720;  // pixels of the picture, about
constexpr double kAmbient = 0.12;

class Depths {
 public:
  explicit Depths(const MeasuredScan& scan)
      : rows_(scan.rows),
        columns_(scan.columns),
        points_(static_cast<std::size_t>(rows_) * columns_, nullptr) {
    for (const MeasuredPoint& p : scan.points)
      points_[static_cast<std::size_t>(p.row) * columns_ + p.column] = &p;
  }

  const MeasuredPoint* at(int row, int column) const {
    if (row < 0 || column < 0 || row >= rows_ || column >= columns_) return nullptr;
    return points_[static_cast<std::size_t>(row) * columns_ + column];
  }

  // Brightness of a dull surface; a point without neighbours is shown bright: it flies.
  double shade(int row, int column) const {
    const MeasuredPoint* p = at(row, column);
    if (!p) return 0;
    const Vec3 u = along(*p, row, column, 0, 1), v = along(*p, row, column, 1, 0);
    Vec3 n = u.cross(v);
    if (n.norm() == 0) return 1;
    if (n.dot(p->point) > 0) n = -n;
    const double dull = std::max(0.0, n.normalized().dot(Vec3(-1, -1.2, -1).normalized()));
    return kAmbient + (1 - kAmbient) * dull;
  }

 private:
  Vec3 along(const MeasuredPoint& p, int row, int column, int dr, int dc) const {
    const MeasuredPoint* next = at(row + dr, column + dc);
    const MeasuredPoint* before = at(row - dr, column - dc);
    if (next && before) return next->point - before->point;
    if (next) return next->point - p.point;
    return before ? Vec3(p.point - before->point) : Vec3(Vec3::Zero());
  }

  int rows_, columns_;
  std::vector<const MeasuredPoint*> points_;
};

void write_png(const std::filesystem::path& file,
               int rows,
               int columns,
               const std::vector<png_byte>& grey) {
  png_image image;
  std::memset(&image, 0, sizeof image);
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(columns);
  image.height = static_cast<png_uint_32>(rows);
  image.format = PNG_FORMAT_GRAY;
  png_alloc_size_t size = 0;
  std::string bytes;
  if (png_image_write_get_memory_size(image, size, 0, grey.data(), 0, nullptr)) {
    bytes.resize(size);
    if (png_image_write_to_memory(&image, bytes.data(), &size, 0, grey.data(), 0, nullptr)) {
      write_atomically(file, std::string_view(bytes).substr(0, size));
      return;
    }
  }
  throw Error(ErrorKind::internal, std::string("no picture: ") + image.message);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 4) {
    std::cerr << "usage: shade_scan RIG SCAN FILE.png\n";
    return 64;
  }
  Scenario scenario = demo_scenario(argv[1], "single-view", {}, 1, 300'000);
  scenario.step = stereo_geometry(scenario).image_px[0] / kWide;
  const SessionSetup setup = prepare(scenario);
  const auto i = static_cast<std::size_t>(std::max(1, std::atoi(argv[2])) - 1);
  if (i >= setup.placements.size()) return 64;
  const MeasuredScan scan =
      measure(setup.scene(i), setup.sensor_at(i), setup.condition(i), setup.chance_of(i));
  const Depths depths(scan);
  std::vector<png_byte> grey;
  for (int r = 0; r < scan.rows; ++r)
    for (int c = 0; c < scan.columns; ++c)
      grey.push_back(static_cast<png_byte>(255 * std::sqrt(depths.shade(r, c))));
  write_png(argv[3], scan.rows, scan.columns, grey);
}
