#include "report/residual_plots.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace rigproof {
namespace {

struct Moments {
  double mean = 0, sd = 0;
};

Moments moments(const FeatureRecord& f) {
  Moments m;
  const double n = static_cast<double>(f.picture.size());
  for (const auto& p : f.picture) m.mean += p[3] / n;
  for (const auto& p : f.picture) m.sd += (p[3] - m.mean) * (p[3] - m.mean);
  m.sd = n > 1 ? std::sqrt(m.sd / (n - 1)) : 0;
  return m;
}

Frame frame_of(double width, double height, const PlotTitles& titles) {
  Frame f;
  f.left = 36;
  f.right = width - 8;
  f.top = 18;
  f.bottom = height - 30;
  f.x_title = titles.x;
  f.y_title = titles.y;
  return f;
}

double incidence_deg(const FeatureRecord& f, const std::array<float, 4>& p) {
  const Vec3 at(p[0], p[1], p[2]);
  const Vec3 normal = f.sphere ? (at - f.center).normalized() : f.normal.normalized();
  const double cosine = std::abs(normal.dot(at.normalized()));
  return std::acos(std::clamp(cosine, 0.0, 1.0)) * 180 / std::numbers::pi;
}

// Value below which `share` of the sorted values lie, linear between ranks.
double quantile(const std::vector<double>& sorted, double share) {
  const double at = share * static_cast<double>(sorted.size() - 1);
  const auto i = static_cast<std::size_t>(at);
  if (i + 1 >= sorted.size()) return sorted.back();
  return sorted[i] + (at - static_cast<double>(i)) * (sorted[i + 1] - sorted[i]);
}

struct AngleBin {
  double angle = 0;
  std::vector<double> values;
};

std::vector<AngleBin> angle_bins(const FeatureRecord& f, const NumberStyle& numbers) {
  std::vector<std::pair<double, double>> points;
  double low = 90, high = 0;
  for (const auto& p : f.picture) {
    const double angle = incidence_deg(f, p);
    if (!std::isfinite(angle)) continue;  // the document gives no centre or no normal
    points.emplace_back(angle, numbers.to_small(p[3]));
    low = std::min(low, points.back().first);
    high = std::max(high, points.back().first);
  }
  constexpr int n = 8;
  std::vector<AngleBin> bins(n);
  for (int i = 0; i < n; ++i) bins[i].angle = low + (i + 0.5) / n * (high - low);
  for (const auto& [angle, d] : points) {
    const double share = high > low ? (angle - low) / (high - low) : 0.5;
    bins[std::clamp(static_cast<int>(share * n), 0, n - 1)].values.push_back(d);
  }
  std::erase_if(bins, [](const AngleBin& b) { return b.values.size() < 8; });
  for (AngleBin& b : bins) std::ranges::sort(b.values);
  return bins;
}

void draw_spread(Canvas& canvas,
                 const std::vector<AngleBin>& bins,
                 const Frame& frame,
                 double low,
                 double high,
                 const Fill& fill) {
  Outline area{{}, true};
  const Axis ax = frame.x_axis(), ay = frame.y_axis();
  const auto bounded = [&](double v) { return ay(std::clamp(v, frame.y.low(), frame.y.high())); };
  for (const AngleBin& b : bins)
    area.points.push_back({ax(b.angle), bounded(quantile(b.values, low))});
  for (auto b = bins.rbegin(); b != bins.rend(); ++b)
    area.points.push_back({ax(b->angle), bounded(quantile(b->values, high))});
  canvas.shape({area}, fill, {});
}

}  // namespace

double residual_range(const std::vector<const FeatureRecord*>& features) {
  double largest = 1e-6;
  for (const FeatureRecord* f : features) {
    if (f->picture.empty()) continue;
    std::vector<double> sizes;
    for (const auto& p : f->picture) sizes.push_back(std::abs(p[3]));
    std::ranges::sort(sizes);
    largest = std::max(largest, quantile(sizes, 0.99));
  }
  const double power = std::pow(10, std::floor(std::log10(largest)));
  for (const double step : {1.0, 2.0, 5.0})
    if (largest <= step * power) return step * power;
  return 10 * power;
}

void draw_histogram(Canvas& canvas,
                    const FeatureRecord& feature,
                    double half_mm,
                    double width,
                    double height,
                    const PlotTitles& titles,
                    const NumberStyle& numbers) {
  const double half = numbers.to_small(half_mm);
  constexpr int bins = 25;
  std::vector<double> share(bins, 0);
  const double n = static_cast<double>(feature.picture.size());
  for (const auto& p : feature.picture) {
    const double at = (numbers.to_small(p[3]) + half) / (2 * half) * bins;
    if (at >= 0 && at < bins) share[static_cast<std::size_t>(at)] += 100 / n;
  }
  const Moments m = moments(feature);
  const double sd = numbers.to_small(m.sd), mean = numbers.to_small(m.mean);
  const double bin_width = 2 * half / bins;
  const double peak = sd > 0 ? 100 * bin_width / (sd * std::sqrt(2 * std::numbers::pi)) : 0;
  Frame frame = frame_of(width, height, titles);
  frame.x = ticks(-half, half, 4);
  frame.y = ticks(0, std::max(peak, *std::ranges::max_element(share)), 4);
  const Axis ax = frame.x_axis(), ay = frame.y_axis();
  frame.draw(canvas, numbers);
  Shape bars;
  for (int i = 0; i < bins; ++i) {
    const double x0 = ax(-half + i * bin_width), x1 = ax(-half + (i + 1) * bin_width) - 0.6;
    if (share[i] > 0)
      bars.push_back({{{x0, ay(0)}, {x0, ay(share[i])}, {x1, ay(share[i])}, {x1, ay(0)}}, true});
  }
  canvas.shape(bars, {Ink::guard}, {});
  if (sd <= 0) return;
  Outline curve;
  for (int i = 0; i <= 60; ++i) {
    const double x = -half + i * half / 30, z = (x - mean) / sd;
    curve.points.push_back({ax(x), ay(peak * std::exp(-z * z / 2))});
  }
  canvas.shape({curve}, {}, {Ink::mark, 1.4, false});
}

void draw_incidence(Canvas& canvas,
                    const FeatureRecord& feature,
                    double half_mm,
                    double width,
                    double height,
                    const PlotTitles& titles,
                    const NumberStyle& numbers) {
  const std::vector<AngleBin> bins = angle_bins(feature, numbers);
  Frame frame = frame_of(width, height, titles);
  const double half = numbers.to_small(half_mm);
  frame.y = ticks(-half, half, 4);
  frame.x = bins.empty() ? ticks(0, 60, 4) : ticks(bins.front().angle, bins.back().angle, 4);
  if (bins.size() > 1) {
    draw_spread(canvas, bins, frame, 0.05, 0.95, {Ink::band});
    draw_spread(canvas, bins, frame, 0.25, 0.75, {Ink::guard});
  }
  frame.draw(canvas, numbers);
  Outline median;
  for (const AngleBin& b : bins)
    median.points.push_back({frame.x_axis()(b.angle), frame.y_axis()(quantile(b.values, 0.5))});
  canvas.shape({median}, {}, {Ink::mark, 1.6, false});
}

}  // namespace rigproof
