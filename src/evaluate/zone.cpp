#include "evaluate/zone.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "fit/blocks.h"

namespace rigproof {
namespace {

// cos of an angle that has left its range means: everything, or nothing.
double cos_deg(double degrees) {
  if (degrees >= 180) return -2;
  if (degrees <= 0) return 2;
  return std::cos(degrees * std::numbers::pi / 180);
}

// Arithmetic on 0 and 1 instead of branches, so that the loop becomes vector code.
RIGPROOF_MULTIVERSION
void ball_loop(const double* x,
               const double* y,
               const double* z,
               std::size_t n,
               const double* s,
               std::uint8_t* out) {
  for (std::size_t i = 0; i < n; ++i) {
    const double dx = x[i] - s[0], dy = y[i] - s[1], dz = z[i] - s[2];
    const double d = std::sqrt(dx * dx + dy * dy + dz * dz);
    const double off = std::abs(d - s[3]);
    const double along = dx * s[6] + dy * s[7] + dz * s[8];
    const double holder = dx * s[12] + dy * s[13] + dz * s[14];
    const double seen = holder > s[15] * d ? 0.0 : 1.0;
    const double in_wide = along >= s[9] * d ? 1.0 : 0.0;
    const double in_zone = along >= s[10] * d ? 1.0 : 0.0;
    const double in_narrow = along >= s[11] * d ? 1.0 : 0.0;
    const double gate = off <= s[4] ? 1.0 : 0.0;
    const double near = off <= s[5] ? 1.0 : 0.0;
    const double ring = (in_wide + in_zone + in_narrow + in_wide) * gate;
    out[i] =
        static_cast<std::uint8_t>(static_cast<int>(seen * (ring + (1.0 - gate) * near * in_zone)));
  }
}

RIGPROOF_MULTIVERSION
void plate_loop(const double* x,
                const double* y,
                const double* z,
                std::size_t n,
                const double* s,
                std::uint8_t* out) {
  for (std::size_t i = 0; i < n; ++i) {
    const double px = x[i] - s[0], py = y[i] - s[1], pz = z[i] - s[2];
    const double off = std::abs(px * s[3] + py * s[4] + pz * s[5]);
    const double dx = x[i] - s[8], dy = y[i] - s[9], dz = z[i] - s[10];
    const double u = std::abs(dx * s[11] + dy * s[12] + dz * s[13]) - s[17];
    const double v = std::abs(dx * s[14] + dy * s[15] + dz * s[16]) - s[18];
    const double beyond = u > v ? u : v;  // of the rectangle's edge
    const double in_wide = beyond <= s[19] ? 1.0 : 0.0;
    const double in_zone = beyond <= 0 ? 1.0 : 0.0;
    const double in_narrow = beyond <= -s[19] ? 1.0 : 0.0;
    const double gate = off <= s[6] ? 1.0 : 0.0;
    const double near = off <= s[7] ? 1.0 : 0.0;
    const double ring = (in_wide + in_zone + in_narrow + in_wide) * gate;
    out[i] = static_cast<std::uint8_t>(static_cast<int>(ring + (1.0 - gate) * near * in_zone));
  }
}

template <class Loop>
void run(const Points& points, const double* shape, ZoneCodes& codes, const Loop& loop) {
  codes.resize(points.size());
  for_blocks(points.size(), 0, [&](std::size_t begin, std::size_t end, std::size_t) {
    loop(&points.x[begin], &points.y[begin], &points.z[begin], end - begin, shape, &codes[begin]);
  });
}

void put(double* at, const Vec3& v) { std::copy_n(v.data(), 3, at); }

}  // namespace

void classify(const Points& points, const BallZone& zone, ZoneCodes& codes) {
  double s[16];
  put(s, zone.sphere.center - points.origin);
  s[3] = zone.sphere.radius;
  s[4] = zone.gate_mm;
  s[5] = zone.stray_mm;
  put(s + 6, zone.axis);
  s[9] = cos_deg(zone.half_angle_deg + zone.widening_deg);
  s[10] = cos_deg(zone.half_angle_deg);
  s[11] = cos_deg(zone.half_angle_deg - zone.widening_deg);
  put(s + 12, zone.holder_axis);
  s[15] = cos_deg(zone.holder_half_angle_deg);
  run(points, s, codes, ball_loop);
}

void classify(const Points& points, const PlateZone& zone, ZoneCodes& codes) {
  double s[20];
  put(s, zone.plane.point - points.origin);
  put(s + 3, zone.plane.normal);
  s[6] = zone.gate_mm;
  s[7] = zone.stray_mm;
  put(s + 8, zone.center - points.origin);
  put(s + 11, zone.u);
  put(s + 14, zone.v);
  s[17] = zone.half_u_mm;
  s[18] = zone.half_v_mm;
  s[19] = zone.widening_mm;
  run(points, s, codes, plate_loop);
}

}  // namespace rigproof
