#include "report/scene_data.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/number.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

constexpr std::size_t kMostPoints = 60'000;

// JSON knows no other word for what is no number.
std::string length(double mm) { return std::isfinite(mm) ? fixed(mm, 3) : "null"; }

std::string list(const Vec3& p) {
  return fmt::format("[{},{},{}]", length(p.x()), length(p.y()), length(p.z()));
}

template <typename Points>
std::string lists(const Points& points) {
  std::string out = "[";
  for (const Vec3& p : points) (out += out.size() > 1 ? "," : "") += list(p);
  return out + "]";
}

std::string in_quotes(std::string_view text) { return '"' + escape_json(text) + '"'; }

std::string piece_json(const PlacedPiece& p) {
  return fmt::format(
      "{{\"key\":{},\"words\":{},\"verdict\":{},\"counts\":{},\"radius\":{},\"ratio\":{},"
      "\"signed\":{},\"balls\":{},\"corners\":{},\"center\":{}}}",
      in_quotes(p.label),
      in_quotes(p.words),
      in_quotes(to_string(p.verdict)),
      p.counts,
      length(p.radius),
      p.ratio && std::isfinite(*p.ratio) ? fixed(*p.ratio, 4) : "null",
      p.signed_ratio && std::isfinite(*p.signed_ratio) ? fixed(*p.signed_ratio, 4) : "null",
      lists(p.balls),
      lists(p.corners),
      list(p.center));
}

void put(std::string& bytes, double value) {
  const auto v = static_cast<std::int16_t>(std::lround(std::clamp(value, -32767.0, 32767.0)));
  const auto u = static_cast<std::uint16_t>(v);
  bytes += static_cast<char>(u & 255);
  bytes += static_cast<char>(u >> 8);
}

// Half of the form or flatness limit, as in the deviation maps; 10 µm where none is agreed.
double color_scale_mm(const Results& results, bool sphere) {
  for (const char* id :
       {sphere ? "probing_form" : "flatness", sphere ? "form_dispersion" : "flat_distortion"}) {
    const auto it = results.session.limits.by_characteristic.find(id);
    if (it != results.session.limits.by_characteristic.end() && it->second.A_mm > 0)
      return it->second.A_mm / 2;
  }
  return 0.010;
}

std::string packed_points(const Results& results, const Vec3& origin, double step) {
  std::size_t all = 0;
  for (const auto& s : results.scans)
    for (const auto& f : s.features) all += f.picture.size();
  const std::size_t stride = all / kMostPoints + 1;
  std::string bytes;
  std::size_t i = 0;
  for (const auto& s : results.scans) {
    for (const auto& f : s.features) {
      const double full = color_scale_mm(results, f.sphere);
      for (const auto& p : f.picture) {
        if (i++ % stride != 0) continue;
        for (int k = 0; k < 3; ++k) put(bytes, (p[k] - origin[k]) / step);
        put(bytes, 1000 * p[3] / full);
      }
    }
  }
  return base64(bytes);
}

}  // namespace

std::string scene_json(const ReportContext& context,
                       const Volume& volume,
                       const std::vector<PlacedPiece>& pieces) {
  const Vec3 origin = volume.middle();
  const double reach = volume.diagonal();
  const double step = std::max(1e-4, reach / 32767);  // the former where reach is no number
  std::string out = "{\"origin\":" + list(origin) + ",\"reach\":" + length(reach) +
                    ",\"step\":" + exact(step) + ",\"corners\":" + lists(volume.corners()) +
                    ",\"pieces\":[";
  for (std::size_t i = 0; i < pieces.size(); ++i) out += (i ? "," : "") + piece_json(pieces[i]);
  return out + "],\"points\":\"" + packed_points(context.results, origin, step) + "\"}";
}

}  // namespace rigproof
