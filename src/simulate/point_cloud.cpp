#include "simulate/point_cloud.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "scan/ply_writer.h"

namespace rigproof {
namespace {

// Where each grid pixel lies in the list; −1: no point.
std::vector<std::int32_t> grid_of(const PointCloud& cloud) {
  std::vector<std::int32_t> at(static_cast<std::size_t>(cloud.rows) * cloud.columns, -1);
  for (std::size_t i = 0; i < cloud.points.size(); ++i) {
    const MeasuredPoint& p = cloud.points[i];
    at[static_cast<std::size_t>(p.row) * cloud.columns + p.column] = static_cast<std::int32_t>(i);
  }
  return at;
}

}  // namespace

double PointCloud::pitch() const {
  double sum = 0;
  std::size_t n = 0;
  for (const bool features : {true, false}) {
    for (std::size_t i = 1; i < points.size(); ++i) {
      const MeasuredPoint &a = points[i - 1], &b = points[i];
      if (a.row != b.row || a.column + 1 != b.column || a.feature != b.feature) continue;
      if (features && a.feature < 0) continue;
      sum += (a.point - b.point).norm();
      ++n;
    }
    if (n > 0) break;
  }
  return n ? sum / static_cast<double>(n) : 1;
}

void smooth(PointCloud& cloud, int kernel) {
  const std::vector<std::int32_t> at = grid_of(cloud);
  const int half = kernel / 2;
  const double same_surface = 6 * cloud.pitch() * (half + 1);
  std::vector<Vec3> out(cloud.points.size());
  for (std::size_t i = 0; i < cloud.points.size(); ++i) {
    const MeasuredPoint& p = cloud.points[i];
    Vec3 sum = Vec3::Zero();
    int n = 0;
    for (int r = std::max(0, p.row - half); r <= std::min(cloud.rows - 1, p.row + half); ++r)
      for (int c = std::max(0, p.column - half); c <= std::min(cloud.columns - 1, p.column + half);
           ++c) {
        const std::int32_t j = at[static_cast<std::size_t>(r) * cloud.columns + c];
        if (j < 0 || cloud.points[j].feature != p.feature ||
            (cloud.points[j].point - p.point).norm() > same_surface)
          continue;
        sum += cloud.points[j].point;
        ++n;
      }
    out[i] = sum / n;
  }
  for (std::size_t i = 0; i < out.size(); ++i) cloud.points[i].point = out[i];
}

void thin(PointCloud& cloud, double d) {
  struct Hash {
    std::size_t operator()(const std::array<std::int64_t, 3>& k) const {
      return static_cast<std::size_t>(k[0] * 73856093 ^ k[1] * 19349663 ^ k[2] * 83492791);
    }
  };
  std::unordered_map<std::array<std::int64_t, 3>, std::vector<Vec3>, Hash> cells;
  const auto cell = [d](const Vec3& p) {
    return std::array<std::int64_t, 3>{static_cast<std::int64_t>(std::floor(p.x() / d)),
                                       static_cast<std::int64_t>(std::floor(p.y() / d)),
                                       static_cast<std::int64_t>(std::floor(p.z() / d))};
  };
  const auto crowded = [&](const Vec3& p) {
    const auto k = cell(p);
    for (std::int64_t x = k[0] - 1; x <= k[0] + 1; ++x)
      for (std::int64_t y = k[1] - 1; y <= k[1] + 1; ++y)
        for (std::int64_t z = k[2] - 1; z <= k[2] + 1; ++z)
          if (const auto found = cells.find({x, y, z}); found != cells.end())
            for (const Vec3& q : found->second)
              if ((p - q).squaredNorm() < d * d) return true;
    return false;
  };
  std::vector<MeasuredPoint> kept;
  for (const MeasuredPoint& p : cloud.points) {
    if (crowded(p.point)) continue;
    cells[cell(p.point)].push_back(p.point);
    kept.push_back(p);
  }
  cloud.points.swap(kept);
}

void round_to(PointCloud& cloud, double step) {
  for (MeasuredPoint& p : cloud.points)
    for (int i = 0; i < 3; ++i) p.point[i] = std::round(p.point[i] / step) * step;
}

void make_mesh(PointCloud& cloud) {
  const std::vector<std::int32_t> at = grid_of(cloud);
  const double longest = 8 * cloud.pitch();
  const auto joined = [&](std::int32_t a, std::int32_t b) {
    return (cloud.points[a].point - cloud.points[b].point).norm() < longest;
  };
  for (int r = 0; r + 1 < cloud.rows; ++r)
    for (int c = 0; c + 1 < cloud.columns; ++c) {
      const std::size_t i = static_cast<std::size_t>(r) * cloud.columns + c;
      const std::int32_t p = at[i], q = at[i + 1], s = at[i + cloud.columns],
                         t = at[i + cloud.columns + 1];
      const auto add = [&](std::int32_t a, std::int32_t b, std::int32_t d) {
        if (a < 0 || b < 0 || d < 0 || !joined(a, b) || !joined(b, d) || !joined(d, a)) return;
        cloud.faces.push_back({static_cast<std::uint32_t>(a),
                               static_cast<std::uint32_t>(b),
                               static_cast<std::uint32_t>(d)});
      };
      // Rows run down and columns right, so this order looks back to the sensor.
      add(p, s, q);
      add(q, s, t);
    }
}

void shuffle(PointCloud& cloud, const Chance& chance) {
  std::vector<std::pair<std::uint64_t, std::uint32_t>> order(cloud.points.size());
  for (std::size_t i = 0; i < order.size(); ++i)
    order[i] = {chance.bits(i), static_cast<std::uint32_t>(i)};
  std::ranges::sort(order);
  std::vector<MeasuredPoint> out;
  out.reserve(order.size());
  for (const auto& [key, i] : order) out.push_back(cloud.points[i]);
  cloud.points.swap(out);
}

void decimate(PointCloud& cloud) {
  std::erase_if(cloud.points,
                [](const MeasuredPoint& p) { return p.row % 2 != 0 || p.column % 2 != 0; });
}

void move(PointCloud& cloud, const RigidTransform& by) {
  for (MeasuredPoint& p : cloud.points) p.point = by * p.point;
}

void write_cloud(const PointCloud& cloud,
                 const std::filesystem::path& file,
                 double unit_per_mm,
                 bool doubles,
                 double cut) {
  PlyOptions options;
  options.doubles = doubles;
  options.faces = cloud.faces.size();
  options.comments = cloud.comments;
  PlyWriter writer(file, cloud.points.size(), options);
  for (const MeasuredPoint& p : cloud.points) writer.add(unit_per_mm * p.point);
  for (const auto& f : cloud.faces) writer.add_face(f);
  writer.finish();
  if (!(cut > 0)) return;
  const auto size = static_cast<double>(std::filesystem::file_size(file));
  std::filesystem::resize_file(file, static_cast<std::uintmax_t>((1 - cut) * size));
}

}  // namespace rigproof
