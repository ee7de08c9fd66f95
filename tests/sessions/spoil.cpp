#include "sessions/spoil.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>

#include "scan/ply_writer.h"
#include "scan/scan.h"

namespace rigproof::planted {
namespace {

void write(const std::filesystem::path& file, const std::vector<Vec3>& points) {
  PlyWriter writer(file, points.size(), {});
  for (const Vec3& p : points) writer.add(p);
  writer.finish();
}

std::vector<Vec3> read(const std::filesystem::path& file) {
  const Points all = Scan::open(file).all();
  std::vector<Vec3> out;
  for (std::size_t i = 0; i < all.size(); ++i) out.push_back(all.at(i));
  return out;
}

std::string bytes_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

template <class Wanted>
std::size_t first(const Truth& truth, const Wanted& wanted) {
  return static_cast<std::size_t>(std::ranges::find_if(truth.scans, wanted, &TrueScan::features) -
                                  truth.scans.begin());
}

}  // namespace

void change_points(const Session& session,
                   std::size_t index,
                   const std::function<std::optional<Vec3>(const Vec3&)>& change) {
  std::vector<Vec3> out;
  for (const Vec3& p : read(session.scans.at(index)))
    if (const auto changed = change(p)) out.push_back(*changed);
  write(session.scans.at(index), out);
}

void repeat_points(const Session& session, std::size_t index, std::size_t every) {
  std::vector<Vec3> points = read(session.scans.at(index));
  const std::size_t n = points.size();
  for (std::size_t i = 0; i < n; i += every) points.push_back(points[i]);
  write(session.scans.at(index), points);
}

void add_cap(const Session& session, std::size_t index, const Sphere& sphere, double width) {
  std::vector<Vec3> points = read(session.scans.at(index));
  for (double x = -width; x <= width; x += 0.5)
    for (double y = -width; y <= width; y += 0.5)
      if (std::hypot(x, y) <= width)
        points.push_back(sphere.center +
                         Vec3(x, y, -std::sqrt(sphere.radius * sphere.radius - x * x - y * y)));
  write(session.scans.at(index), points);
}

void add_comment(const Session& session, const std::string& comment) {
  for (const auto& file : session.scans) {
    std::string bytes = bytes_of(file);
    bytes.insert(bytes.find("element vertex"), "comment " + comment + "\n");
    std::ofstream(file, std::ios::binary) << bytes;
  }
}

void declare_half(const Session& session, std::size_t index) {
  const auto& file = session.scans.at(index);
  std::string bytes = bytes_of(file);
  const std::size_t at = bytes.find("element vertex ") + 15;
  const std::size_t length = bytes.find('\n', at) - at;
  bytes.replace(at, length, std::to_string(std::stoull(bytes.substr(at, length)) / 2));
  std::ofstream(file, std::ios::binary) << bytes;
}

std::size_t first_bar(const Truth& truth) {
  return first(truth, [](const auto& f) { return f.size() == 2; });
}
std::size_t first_plate(const Truth& truth) {
  return first(truth, [](const auto& f) { return f.size() == 1 && f[0].kind == "plane"; });
}
std::size_t first_ball(const Truth& truth) {
  return first(truth, [](const auto& f) { return f.size() == 1 && f[0].kind == "sphere"; });
}

bool on(const TrueFeature& ball, const Vec3& p, double gate) {
  return std::abs((p - ball.expected_center).norm() - ball.expected_radius) < gate;
}

}  // namespace rigproof::planted
