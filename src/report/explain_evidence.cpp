// What a value rests on where no printed fit gives it: shells and zones with the points that hold
// them, and the means of patches.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/number.h"
#include "report/explain_page.h"

namespace rigproof {
namespace {

std::string triple(const Vec3& v) {
  return fmt::format("({}, {}, {})", mm(v.x()), mm(v.y()), mm(v.z()));
}

std::string difference(double a, double b) { return "(" + mm(a) + "-" + bracketed(b) + ")"; }

std::string distance_of(const Vec3& p, const Vec3& center) {
  std::string squares;
  for (int k = 0; k < 3; ++k) squares += (k ? "+" : "") + difference(p[k], center[k]) + "^2";
  return "sqrt(" + squares + ")";
}

std::string height_of(const Vec3& p, const Enclosure& e) {
  std::string sum;
  for (int k = 0; k < 3; ++k)
    sum += (k ? "+" : "") + difference(p[k], e.center[k]) + "*(" + fixed(e.normal[k], 12) + ")";
  return sum;
}

// The distances of the points that an enclosure rests on, from its centre or plane.
void distances(ExplainPage& page, const Enclosure& e, const std::vector<Vec3>& points, bool high) {
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3& p = points[i];
    const double d = e.sphere ? (p - e.center).norm() : e.normal.dot(p - e.center);
    page.equation((high ? "high" : "low") + std::to_string(i + 1),
                  e.sphere ? distance_of(p, e.center) : height_of(p, e),
                  mm(d),
                  "mm");
  }
}

// As the page shows it, so that large products come out to the last digit too.
Vec3 printed(const Vec3& p) { return (p * 1e7).array().round() / 1e7; }

// Four points give a zone of planes by themselves: across three of them, or across both pairs.
void planes_by_contacts(ExplainPage& page, const Enclosure& e) {
  const auto &low = e.low_points, &high = e.high_points;
  if (e.sphere || low.size() + high.size() != 4 || low.empty() || high.empty()) return;
  const std::vector<Vec3>& side = low.size() >= high.size() ? low : high;
  const Vec3 a = printed(side[0]), b = printed(side[1]);
  const bool three = side.size() == 3;
  const Vec3 from = three ? a : printed(high[0]), to = printed(three ? side[2] : high[1]);
  page.line(three ? "their normal is across the three points of one plane:"
                  : "their normal is across the two pairs of points:");
  const Vec3 s = b - a, t = to - from;
  Vec3 n;
  const auto product = [&](int i, int j) {
    return difference(b[i], a[i]) + "*" + difference(to[j], from[j]);
  };
  for (int k = 0; k < 3; ++k) {
    const int i = (k + 1) % 3, j = (k + 2) % 3;
    n[k] = s[i] * t[j] - s[j] * t[i];
    page.equation(
        "n" + std::string(1, "xyz"[k]), product(i, j) + "-" + product(j, i), number(n[k]), "mm^2");
  }
  std::string along, squares;
  for (int k = 0; k < 3; ++k) {
    const std::string plus = k ? "+" : "", component = "(" + number(n[k]) + ")";
    along += plus + component + "*" + difference(high[0][k], low[0][k]);
    squares += plus + component + "^2";
  }
  page.equation("width", "abs(" + along + ")/sqrt(" + squares + ")", mm(e.width), "mm");
}

void enclosure_lines(ExplainPage& page, const std::string& title, const Enclosure& e) {
  page.line(fmt::format("{}: {} of {} points held", title, e.held, e.points));
  page.line(
      fmt::format("  {} {} mm", e.sphere ? "centre" : "point of the plane", triple(e.center)));
  if (!e.sphere)
    page.line(fmt::format("  normal ({}, {}, {})",
                          fixed(e.normal.x(), 12),
                          fixed(e.normal.y(), 12),
                          fixed(e.normal.z(), 12)));
  if (e.low_points.empty() || e.high_points.empty()) {
    page.line(fmt::format("  from {} to {} mm; not proven the narrowest", mm(e.low), mm(e.high)));
    return;
  }
  page.line(fmt::format("distances of the points that it rests on from its {}:",
                        e.sphere ? "centre" : "plane"));
  distances(page, e, e.low_points, false);
  distances(page, e, e.high_points, true);
}

// The points in order of distance, and which of them are the ends.
void share_lines(ExplainPage& page, const Enclosure& e, double share) {
  page.line(fmt::format("{:g} of {} points: {}*{} = {}, rounded up {}",
                        share,
                        e.points,
                        number(share),
                        e.points,
                        number(share * static_cast<double>(e.points)),
                        e.held));
  page.line(fmt::format(
      "sorted by distance, number {} and number {} are the closest pair with {} from one to the "
      "other",
      e.below + 1,
      e.below + e.held,
      e.held));
}

void width_equation(ExplainPage& page, const std::string& name, const Enclosure& e) {
  page.equation(name, mm(e.high) + "-" + bracketed(e.low), mm(e.width), "mm");
}

const Enclosure* enclosure_of(const Explanation& e, const std::string& name) {
  return e.features.size() == 1 ? find_enclosure(e.features[0]->enclosures, name) : nullptr;
}

std::string own_enclosure(const Explanation& e) {
  const std::string& id = e.value().id;
  if (id == "form_dispersion")
    return e.results->session.procedure.dispersion_shell == ShellRule::free ? "free_shell"
                                                                            : "concentric_shell";
  if (id == "flat_distortion") return "parallel_planes";
  return id == "flatness_mz" ? "minimum_zone_all" : "";
}

std::string title_of(const std::string& name) {
  if (name == "concentric_shell") return "narrowest shell about the fit with nothing left out";
  if (name == "free_shell") return "narrowest shell with its centre free";
  if (name == "parallel_planes") return "narrowest pair of planes parallel to the fit";
  return "minimum zone";
}

void explain_enclosure(ExplainPage& page,
                       const Explanation& e,
                       const Enclosure& enclosure,
                       const std::string& result) {
  const bool zone = enclosure.name.starts_with("minimum_zone");
  enclosure_lines(page, title_of(enclosure.name), enclosure);
  if (!zone) share_lines(page, enclosure, e.results->session.procedure.dispersion_share);
  if (zone) planes_by_contacts(page, enclosure);
  width_equation(page, result, enclosure);
}

void explain_patches(ExplainPage& page, const Explanation& e, const FeatureRecord& f) {
  const FitRecord& fit = *f.fit_patches;
  std::string rings;
  for (const int n : e.results->session.procedure.patches)
    rings += (rings.empty() ? "" : " + ") + std::to_string(n);
  page.line(fmt::format(
      "{} patches of equal solid angle, {} in rings about the cap's axis; of each the mean",
      f.patches.size(),
      rings));
  page.line("direction and the mean radius of its points, as one point (mm):");
  page.line(fmt::format(
      "{:>5}{:>8}{:>15}{:>15}{:>15}{:>14}", "patch", "points", "x", "y", "z", "residual/um"));
  std::size_t least = 0, most = 0;
  std::vector<double> d;
  for (std::size_t k = 0; k < f.patches.size(); ++k) {
    const Vec3& p = f.patches[k].point;
    d.push_back((p - fit.center).norm() - fit.radius);
    if (d[k] < d[least]) least = k;
    if (d[k] > d[most]) most = k;
    page.line(fmt::format("{:>5}{:>8}{:>15}{:>15}{:>15}{:>14}",
                          k + 1,
                          f.patches[k].points,
                          mm(p.x()),
                          mm(p.y()),
                          mm(p.z()),
                          um(d[k])));
  }
  page.line(fmt::format("least-squares sphere through them: residuals rms {}, min {}, max {} um",
                        um(fit.rms),
                        um(fit.min),
                        um(fit.max)));
  page.line(fmt::format("  centre {} mm, radius {} mm", triple(fit.center), mm(fit.radius)));
  for (const auto& [name, k] : {std::pair{"largest", most}, std::pair{"smallest", least}}) {
    page.line(fmt::format("the {} residual is that of patch {}:", name, k + 1));
    page.equation("d" + std::to_string(k + 1),
                  distance_of(f.patches[k].point, fit.center) + "-" + mm(fit.radius),
                  mm(d[k]),
                  "mm");
  }
  const TestValue& v = e.value();
  if (v.signed_value)
    page.equation("measured", "2*" + mm(fit.radius), mm(v.measured), "mm");
  else
    page.equation("measured", mm(d[most]) + "-" + bracketed(d[least]), mm(v.measured), "mm");
}

}  // namespace

bool explain_evidence(ExplainPage& page, const Explanation& e) {
  const std::string& id = e.value().id;
  if ((id == "form_25" || id == "size_25") && e.features.size() == 1 &&
      e.features[0]->fit_patches) {
    explain_patches(page, e, *e.features[0]);
    return true;
  }
  const Enclosure* own = enclosure_of(e, own_enclosure(e));
  if (own) explain_enclosure(page, e, *own, "measured");
  return own != nullptr;
}

void explain_alternatives(ExplainPage& page, const Explanation& e) {
  for (const auto& [name, value] : e.value().alternatives) {
    page.line("for information, " + name + ": " + mm(value) + " mm");
    if (const Enclosure* other = enclosure_of(e, name)) explain_enclosure(page, e, *other, name);
  }
}

}  // namespace rigproof
