#include "simulate/sensor.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/threads.h"
#include "simulate/noise_field.h"

namespace rigproof {
namespace {

constexpr int kBlockRows = 32;
constexpr int kBlocksAtOnce = 16;  // in memory
constexpr int kCoverageStep = 24;
constexpr double kEdgePx = 1.5;   // a matching window this near to an edge sees both sides
constexpr double kHaloDeg = 1.5;  // about the saturated spot
constexpr double kHaloNoise = 2;  // there
constexpr int kExposureRows = 8;  // full-image rows of one exposure of a doubled scan

enum Stream : std::uint64_t { dropout, outlier, outlier_size, edge, edge_place, fields };

double radians(double degrees) { return degrees * std::numbers::pi / 180; }

// A grid pixel that meets a surface which both cameras and the projector see.
struct Seen {
  Hit hit;
  Vec3 point = Vec3::Zero();
  double cosine = 0;  // of incidence, the worse camera
};

class Renderer {
 public:
  Renderer(const VirtualScene& scene,
           const Sensor& sensor,
           const ScanCondition& condition,
           const Chance& chance)
      : scene_(scene),
        sensor_(sensor),
        condition_(condition),
        chance_(chance),
        along_(chance.stream(fields), sensor.noise.area_px2, sensor.noise.white_share),
        across_(chance.stream(fields + 1), sensor.noise.area_px2, sensor.noise.white_share) {
    const auto [width, height] = sensor.truth.cameras[0].image_px;
    columns_ = (width + sensor.step - 1) / sensor.step;
    rows_ = (height + sensor.step - 1) / sensor.step;
  }

  int rows() const { return rows_; }
  int columns() const { return columns_; }

  MeasuredScan block(int row0, int rows) const {
    MeasuredScan out;
    std::vector<Hit> hits(static_cast<std::size_t>(rows + 1) * columns_);
    int first = columns_, last = -1;
    for (int r = 0; r < std::min(rows + 1, rows_ - row0); ++r)
      for (int c = 0; c < columns_; ++c) {
        Hit& h = hits[static_cast<std::size_t>(r) * columns_ + c];
        h = scene_.cast(sensor_.truth.cameras[0].ray(pixel(row0 + r, c)));
        if (h.body < 0) continue;
        first = std::min(first, c);
        last = std::max(last, c);
      }
    if (last < 0) return out;
    const int step = sensor_.step, wide = last - first + 1;
    std::vector<float> along, across;
    if (sensor_.noise.on) {
      along = along_.block(row0 * step, rows, first * step, wide, step);
      if (sensor_.matching == Matching::free_match)
        across = across_.block(row0 * step, rows, first * step, wide, step);
    }
    for (int r = 0; r < rows; ++r)
      for (int c = first; c <= last; ++c) {
        const std::size_t i = static_cast<std::size_t>(r) * columns_ + c;
        if (hits[i].body < 0) continue;
        const std::size_t n = static_cast<std::size_t>(r) * wide + (c - first);
        const int right = c + 1 < columns_ ? hits[i + 1].body : hits[i].body;
        const int left = c > 0 ? hits[i - 1].body : hits[i].body;
        const int below = row0 + r + 1 < rows_ ? hits[i + columns_].body : hits[i].body;
        const bool near_edge =
            right != hits[i].body || left != hits[i].body || below != hits[i].body;
        render(row0 + r,
               c,
               hits[i],
               near_edge,
               along.empty() ? 0 : along[n],
               across.empty() ? 0 : across[n],
               out);
      }
    return out;
  }

  // Whether the pixel would give a point, edges and chance apart.
  bool covers(const Vec2& px) const {
    const Ray ray = sensor_.truth.cameras[0].ray(px);
    const Hit h = scene_.cast(ray);
    return h.body >= 0 && seen(ray, h).has_value();
  }

 private:
  Vec2 pixel(int row, int column) const {
    return {static_cast<double>(column) * sensor_.step, static_cast<double>(row) * sensor_.step};
  }
  std::uint64_t index(int row, int column) const {
    return static_cast<std::uint64_t>(row) * sensor_.step * (1u << 20) +
           static_cast<std::uint64_t>(column) * sensor_.step;
  }
  bool happens(Stream what, std::uint64_t i, double share) const {
    return share > 0 && chance_.stream(what).uniform(i) < share;
  }

  std::optional<Seen> seen(const Ray& ray, const Hit& hit) const {
    Seen s{hit, ray.at(hit.t), 0};
    const double least = sensor_.blemishes.least_cosine;
    const Camera& second = sensor_.truth.cameras[1];
    const Vec3 to_second = (second.center() - s.point).normalized();
    const Vec3 to_light = (sensor_.truth.projector_mm - s.point).normalized();
    const double left = -hit.normal.dot(ray.direction), right = hit.normal.dot(to_second);
    s.cosine = std::min(left, right);
    if (s.cosine < least || hit.normal.dot(to_light) < least) return std::nullopt;
    const auto px = second.project(s.point);
    if (!px || !second.in_image(*px)) return std::nullopt;
    if (!scene_.sees(s.point, hit.body, second.center()) ||
        !scene_.sees(s.point, hit.body, sensor_.truth.projector_mm))
      return std::nullopt;
    return s;
  }

  // Degrees from the nearest normal that mirrors the projector into a camera; balls only.
  double highlight_deg(const Seen& s) const {
    const Vec3 to_light = (sensor_.truth.projector_mm - s.point).normalized();
    double best = 180;
    for (const Camera& c : sensor_.truth.cameras) {
      const Vec3 half = (to_light + (c.center() - s.point).normalized()).normalized();
      best = std::min(best, std::acos(std::min(1.0, half.dot(s.hit.normal))));
    }
    return best * 180 / std::numbers::pi;
  }

  double defocus(double z) const {
    const double middle = 0.5 * (sensor_.near_mm + sensor_.far_mm);
    const double half = 0.5 * (sensor_.far_mm - sensor_.near_mm);
    const double focus = sensor_.noise.focus_mm > 0 ? sensor_.noise.focus_mm : middle;
    const double x = half > 0 ? (z - focus) / half : 0;
    return 1 + sensor_.noise.defocus * x * x;
  }

  double sigma_px(const Seen& s) const {
    const MatchingNoise& n = sensor_.noise;
    if (!n.on) return 0;
    return n.disparity_px * condition_.noise_factor * std::pow(s.cosine, -n.incidence_power) *
           defocus(s.point.z());
  }

  // The body next to the pixel within a matching window; nullopt where there is no edge.
  std::optional<Hit> over_the_edge(const Vec2& px, const Hit& hit) const {
    for (const Vec2& d :
         {Vec2(kEdgePx, 0), Vec2(-kEdgePx, 0), Vec2(0, kEdgePx), Vec2(0, -kEdgePx)}) {
      const Hit h = scene_.cast(sensor_.truth.cameras[0].ray(px + d));
      if (h.body != hit.body) return h;
    }
    return std::nullopt;
  }

  bool on_ball(const Hit& hit) const {
    return hit.body < static_cast<int>(scene_.balls.size()) && hit.feature >= 0;
  }

  bool in_cap(const Seen& s) const {
    const BallBody& ball = scene_.balls[s.hit.body];
    const Vec3& c = ball.sphere.center;
    const Vec3 axis = ((sensor_.truth.cameras[0].center() - c).normalized() +
                       (sensor_.truth.cameras[1].center() - c).normalized())
                          .normalized();
    return (s.point - c).normalized().dot(axis) >= std::cos(radians(condition_.cap_deg));
  }

  Match matched(const Vec2& px, const Seen& s) const {
    return Match(sensor_.truth,
                 sensor_.belief,
                 sensor_.matching,
                 sensor_.calibrated,
                 px,
                 s.point,
                 s.hit.normal);
  }

  // A silhouette pixel: true when it is dealt with here (lost, or flying between front and back).
  bool at_edge(int row, int column, const Vec2& px, const Seen& s, MeasuredScan& out) const {
    const std::uint64_t i = index(row, column);
    const double u = chance_.stream(edge).uniform(i);
    const Blemishes& b = sensor_.blemishes;
    if (u > b.flying + b.lost_at_edge) return false;
    const auto other = over_the_edge(px, s.hit);
    if (!other) return false;
    if (u > b.flying) return true;
    // Between the two surfaces; into the void at most a little way.
    const double reach = other->body >= 0 ? other->t - s.hit.t : 0.02 * s.hit.t;
    const Ray ray = sensor_.belief.rig.cameras[0].ray(px);
    const double place = chance_.stream(edge_place).uniform(i);
    const Match match = matched(px, s);
    if (!match.ok()) return true;
    out.points.push_back(
        {match.triangulated().point + place * place * reach * ray.direction, row, column, -1, -1});
    return true;
  }

  void render(int row,
              int column,
              const Hit& hit,
              bool near_edge,
              double along,
              double across,
              MeasuredScan& out) const {
    const Vec2 px = pixel(row, column);
    const Ray ray = sensor_.truth.cameras[0].ray(px);
    auto s = seen(ray, hit);
    if (!s) return;
    const std::uint64_t i = index(row, column);
    const Blemishes& b = sensor_.blemishes;
    if (happens(dropout, i, b.dropouts)) return;
    double halo = 1;
    if (on_ball(hit)) {
      if (condition_.cap_deg > 0 && !in_cap(*s)) return;
      if (b.saturation_deg > 0) {
        const double off = highlight_deg(*s);
        if (off < b.saturation_deg) return;
        if (off < b.saturation_deg + kHaloDeg) halo = kHaloNoise;
      }
      s->point -= condition_.inward_mm * hit.normal;
    }
    if (near_edge && at_edge(row, column, px, *s, out)) return;
    const Match match = matched(inward_pixel(px, *s), *s);
    if (!match.ok()) return;
    const double sigma = sigma_px(*s) * halo;
    const bool astray = happens(outlier, i, b.outliers);
    double error = sigma * along;
    if (astray) error += chance_.stream(outlier_size).uniform(i, -b.outlier_px, b.outlier_px);
    const Vec3 moved = displaced(row, ray);
    MeasuredPoint p{
        match.triangulated(error, sigma * across).point + moved, row, column, hit.feature, -1};
    if (hit.feature >= 0) {
      p.detail = static_cast<int>(out.details.size());
      MeasuredDetail d{match.triangulated().point + moved, {}, {}, s->point, astray};
      d.high = sigma > 0 ? match.triangulated(sigma).point + moved : d.clean;
      d.low = sigma > 0 ? match.triangulated(-sigma).point + moved : d.clean;
      out.details.push_back(d);
    }
    out.points.push_back(p);
  }

  // Light that enters the surface comes back from a point beside the ray of the pixel.
  Vec2 inward_pixel(const Vec2& px, const Seen& s) const {
    if (condition_.inward_mm == 0) return px;
    return sensor_.truth.cameras[0].project(s.point).value_or(px);
  }

  // A second exposure sees the scene moved along the line of sight.
  Vec3 displaced(int row, const Ray& ray) const {
    const bool second = (row * sensor_.step / kExposureRows) % 2 == 1;
    return (second ? condition_.second_shell_mm : 0) * ray.direction;
  }

  const VirtualScene& scene_;
  const Sensor& sensor_;
  const ScanCondition& condition_;
  const Chance& chance_;
  NoiseField along_, across_;
  int rows_ = 0, columns_ = 0;
};

}  // namespace

Blemishes Blemishes::none() {
  Blemishes b;
  b.saturation_deg = b.dropouts = b.outliers = b.flying = b.lost_at_edge = 0;
  return b;
}

void measure_rows(const VirtualScene& scene,
                  const Sensor& sensor,
                  const ScanCondition& condition,
                  const Chance& chance,
                  int threads,
                  const std::function<void(const MeasuredScan&)>& take) {
  const Renderer renderer(scene, sensor, condition, chance);
  const int blocks = (renderer.rows() + kBlockRows - 1) / kBlockRows;
  for (int first = 0; first < blocks; first += kBlocksAtOnce) {
    std::vector<MeasuredScan> parts(std::min(kBlocksAtOnce, blocks - first));
    parallel_blocks(parts.size(), threads, [&](std::size_t b, int) {
      const int row0 = (first + static_cast<int>(b)) * kBlockRows;
      parts[b] = renderer.block(row0, std::min(kBlockRows, renderer.rows() - row0));
    });
    for (const MeasuredScan& part : parts) take(part);
  }
}

MeasuredScan measure(const VirtualScene& scene,
                     const Sensor& sensor,
                     const ScanCondition& condition,
                     const Chance& chance,
                     int threads) {
  MeasuredScan all;
  const auto [width, height] = sensor.truth.cameras[0].image_px;
  all.columns = (width + sensor.step - 1) / sensor.step;
  all.rows = (height + sensor.step - 1) / sensor.step;
  measure_rows(scene, sensor, condition, chance, threads, [&](const MeasuredScan& part) {
    const auto first = static_cast<std::int32_t>(all.details.size());
    for (MeasuredPoint p : part.points) {
      if (p.detail >= 0) p.detail += first;
      all.points.push_back(p);
    }
    all.details.insert(all.details.end(), part.details.begin(), part.details.end());
  });
  return all;
}

double covered_share(const VirtualScene& scene, const Sensor& sensor) {
  const ScanCondition plain;
  const Chance none(0);
  const Renderer renderer(scene, sensor, plain, none);
  const auto [width, height] = sensor.truth.cameras[0].image_px;
  std::size_t hit = 0, all = 0;
  for (int v = kCoverageStep / 2; v < height; v += kCoverageStep)
    for (int u = kCoverageStep / 2; u < width; u += kCoverageStep) {
      ++all;
      hit += renderer.covers({static_cast<double>(u), static_cast<double>(v)});
    }
  return all ? static_cast<double>(hit) / static_cast<double>(all) : 0;
}

}  // namespace rigproof
