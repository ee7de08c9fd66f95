#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <map>
#include <utility>

#include <Eigen/Cholesky>

#include "evaluate/cap.h"
#include "evaluate/distribution.h"
#include "evaluate/ufit.h"
#include "fit/blocks.h"

namespace rigproof {
namespace {

constexpr int kReach = 12;                // spacings that pairs are apart at most; side of a cell
constexpr int kLevelFrom = 9;             // lags that give the level
constexpr std::size_t kCores = 48;        // cells whose points look for neighbours, at most
constexpr std::size_t kCentres = 1024;    // such points in all, at most
constexpr std::size_t kCellCentres = 64;  // of one cell
constexpr std::size_t kCellMost = 800;    // points of one cell that are held
constexpr double kFilled = 0.4;           // share of the usual points that a core must hold
constexpr std::size_t kLevelPairs = 1000;
constexpr double kNoCorrelation = 0.02;
constexpr double kStillCorrelated = 0.1;
constexpr int kStillAt = 5;              // lag; correlation that reaches so far is measured coarser
constexpr std::size_t kCoarser = 4;      // points of which one is kept then: twice the spacing
constexpr std::size_t kLeastZone = 400;  // points
constexpr double kGrazing = 0.2;        // cosine below which a residual is not projected on the ray
constexpr std::size_t kCensus = 20000;  // points that find the cells
constexpr double kMostGrowth = 5;

double cosine(const ZoneSurface& s, std::size_t i) {
  if (!s.center) return 1;
  const Vec3 d = s.points.at(i) - *s.center;
  return std::max(kGrazing, d.dot(s.ray) / d.norm());
}

// Points that matching places evenly in the image lie the wider apart the more the surface leans.
double spacing_across(const ZoneSurface& s) {
  const std::size_t n = s.points.size(), used = std::min(n, kCensus);
  double stretch = 0;
  for (std::size_t k = 0; k < used; ++k) stretch += 1 / cosine(s, k * n / used);
  return s.spacing_mm / std::sqrt(stretch / static_cast<double>(used));
}

// Error along the ray less a quadratic surface over the zone: bow and twist are shape, no scatter.
class Errors {
 public:
  explicit Errors(const ZoneSurface& s) : s_(s), axes_(across(s.ray)) {
    const std::size_t n = s.points.size(), used = std::min(n, kCensus);
    Eigen::Matrix<double, 6, 6> normal = Eigen::Matrix<double, 6, 6>::Zero();
    Terms right = Terms::Zero();
    for (std::size_t k = 0; k < used; ++k)
      size_ = std::max(size_, place(k * n / used).lpNorm<Eigen::Infinity>());
    for (std::size_t k = 0; k < used; ++k) {
      const std::size_t i = k * n / used;
      if (!counts(i)) continue;
      const Terms t = terms(place(i));
      normal += t * t.transpose();
      right += raw(i) * t;
    }
    if (used >= kLeastZone) trend_ = normal.ldlt().solve(right);
    if (!trend_.allFinite()) trend_.setZero();
  }

  bool counts(std::size_t i) const {
    return s_.residuals[i] >= s_.least && s_.residuals[i] <= s_.most;
  }
  Eigen::Vector2d place(std::size_t i) const {
    const Vec3 p = s_.points.local(i);
    return {p.dot(axes_.first), p.dot(axes_.second)};
  }
  double at(std::size_t i) const { return raw(i) - trend_.dot(terms(place(i))); }

 private:
  using Terms = Eigen::Matrix<double, 6, 1>;

  double raw(std::size_t i) const { return s_.residuals[i] / cosine(s_, i); }
  Terms terms(const Eigen::Vector2d& p) const {
    const double u = p.x() / size_, v = p.y() / size_;
    Terms t;
    t << 1, u, v, u * u, u * v, v * v;
    return t;
  }

  const ZoneSurface& s_;
  std::pair<Vec3, Vec3> axes_;
  double size_ = 1e-9;
  Terms trend_ = Terms::Zero();
};

// Cells of kReach spacings, the cores among them and what lies about those. Numbers of slots; −1:
// not used.
class Raster {
 public:
  Raster(const Errors& errors, std::size_t n, double spacing) : to_cell_(1 / (kReach * spacing)) {
    std::map<std::pair<long, long>, std::size_t> counts;
    const std::size_t used = std::min(n, kCensus);
    for (std::size_t k = 0; k < used; ++k) ++counts[cell(errors.place(k * n / used))];
    const double usual =
        kFilled * kReach * kReach * static_cast<double>(used) / static_cast<double>(n);
    std::vector<std::pair<long, long>> full;
    for (const auto& [key, count] : counts)
      if (static_cast<double>(count) >= usual) full.push_back(key);
    const std::size_t cores = std::min(kCores, full.size());
    for (std::size_t k = 0; k < cores; ++k) {
      const auto [a, b] = full[k * full.size() / cores];
      cores_.push_back({a, b});
      for (long i = a - 1; i <= a + 1; ++i)
        for (long j = b - 1; j <= b + 1; ++j) slots_.try_emplace({i, j}, 0);
    }
    make_table();
  }

  std::size_t slots() const { return slots_.size(); }
  const std::vector<std::pair<long, long>>& cores() const { return cores_; }
  int slot(long i, long j) const {
    const long a = i - lo_u_, b = j - lo_v_;
    if (a < 0 || b < 0 || a >= rows_ || b >= columns_) return -1;
    return table_[static_cast<std::size_t>(a * columns_ + b)];
  }
  int slot(const Eigen::Vector2d& p) const {
    const auto [i, j] = cell(p);
    return slot(i, j);
  }

 private:
  std::pair<long, long> cell(const Eigen::Vector2d& p) const {
    return {static_cast<long>(std::floor(p.x() * to_cell_)),
            static_cast<long>(std::floor(p.y() * to_cell_))};
  }
  void make_table() {
    if (slots_.empty()) return;
    lo_u_ = slots_.begin()->first.first;
    rows_ = slots_.rbegin()->first.first - lo_u_ + 1;
    lo_v_ = slots_.begin()->first.second;
    long hi_v = lo_v_;
    for (const auto& [key, number] : slots_) {
      lo_v_ = std::min(lo_v_, key.second);
      hi_v = std::max(hi_v, key.second);
    }
    columns_ = hi_v - lo_v_ + 1;
    table_.assign(static_cast<std::size_t>(rows_ * columns_), -1);
    int next = 0;
    for (const auto& [key, number] : slots_)
      table_[static_cast<std::size_t>((key.first - lo_u_) * columns_ + key.second - lo_v_)] =
          next++;
  }

  double to_cell_;
  std::map<std::pair<long, long>, int> slots_;
  std::vector<std::pair<long, long>> cores_;
  long lo_u_ = 0, lo_v_ = 0, rows_ = 0, columns_ = 0;
  std::vector<int> table_;
};

// Points of one slot, one array a value; full lanes, so that the last ones hold no points.
struct Slot {
  std::vector<double> u, v, error;
  std::size_t size = 0;

  void push(const Eigen::Vector2d& place, double e) {
    if (size == u.size())
      for (auto* values : {&u, &v, &error}) values->resize(size + kLanes, kNowhere);
    u[size] = place.x();
    v[size] = place.y();
    error[size++] = e;
  }
  static constexpr double kNowhere = 1e30;  // out of reach of every point
};

using Members = std::vector<Slot>;

// Points of each slot, in their order; one of `every`, drawn by a hash of its number.
Members members(const Errors& errors, std::size_t n, const Raster& raster, std::size_t every) {
  std::vector<std::vector<std::pair<int, std::size_t>>> parts((n + kBlock - 1) / kBlock);
  for_blocks(n, 0, [&](std::size_t begin, std::size_t end, std::size_t b) {
    for (std::size_t i = begin; i < end; ++i) {
      if (every > 1 && (i * 0x9E3779B97F4A7C15u >> 32) % every != 0) continue;
      if (!errors.counts(i)) continue;
      if (const int k = raster.slot(errors.place(i)); k >= 0) parts[b].push_back({k, i});
    }
  });
  Members out(raster.slots());
  for (const auto& part : parts)
    for (const auto& [k, i] : part)
      if (auto& slot = out[static_cast<std::size_t>(k)]; slot.size < kCellMost)
        slot.push(errors.place(i), errors.at(i));
  return out;
}

// A distance d rounded to whole spacings, from the square of 2 d alone: it is k from (2 k − 1)² on,
// which is a whole number.
constexpr std::size_t kSquares = static_cast<std::size_t>(2 * kReach + 1) * (2 * kReach + 1);
constexpr std::array<std::uint8_t, kSquares> rounded_distances() {
  std::array<std::uint8_t, kSquares> rounded{};
  for (std::size_t square = 0, k = 0; square < rounded.size(); ++square) {
    if (square >= (2 * k + 1) * (2 * k + 1)) ++k;
    rounded[square] = static_cast<std::uint8_t>(k);
  }
  return rounded;
}
constexpr auto kRounded = rounded_distances();

// Pairs by distance in whole spacings.
struct Variogram {
  std::array<double, kReach + 1> sum{};
  std::array<double, kReach + 1> pairs{};
  double centres = 0;
};

RIGPROOF_MULTIVERSION void add_pairs(
    const Slot& slot, double u, double v, double error, double to_square, Variogram& g) {
  using Whole = std::int32_t __attribute__((vector_size(kLanes * sizeof(std::int32_t))));
  constexpr double kOut = kRounded.size();
  for (std::size_t i = 0; i < slot.size; i += kLanes) {
    Lanes du, dv;
    std::memcpy(&du, &slot.u[i], sizeof du);
    std::memcpy(&dv, &slot.v[i], sizeof dv);
    du -= u;
    dv -= v;
    Lanes square = (du * du + dv * dv) * to_square;
    square = square < kOut ? square : Lanes{} + kOut;
    const auto number = __builtin_convertvector(square, Whole);
    for (std::size_t l = 0; l < kLanes; ++l) {
      if (number[l] == kRounded.size()) continue;
      const std::uint8_t k = kRounded[static_cast<std::size_t>(number[l])];
      const double e = error - slot.error[i + l];
      g.sum[k] += 0.5 * e * e;
      ++g.pairs[k];
    }
  }
}

Variogram variogram(const Members& slots, const Raster& raster, double spacing) {
  Variogram g;
  const double to_square = 4 / (spacing * spacing);
  const std::size_t most =
      std::min(kCellCentres, kCentres / std::max(raster.cores().size(), std::size_t{1}));
  for (const auto& [i, j] : raster.cores()) {
    const Slot& core = slots[static_cast<std::size_t>(raster.slot(i, j))];
    const std::size_t centres = std::min(most, core.size);
    for (std::size_t k = 0; k < centres; ++k) {
      const std::size_t at = k * core.size / centres;
      for (long a = i - 1; a <= i + 1; ++a)
        for (long b = j - 1; b <= j + 1; ++b)
          add_pairs(slots[static_cast<std::size_t>(raster.slot(a, b))],
                    core.u[at],
                    core.v[at],
                    core.error[at],
                    to_square,
                    g);
      --g.pairs[0];  // with itself
      ++g.centres;
    }
  }
  return g;
}

ZoneNoise from_variogram(const Variogram& g, std::size_t every) {
  ZoneNoise noise;
  double level = 0, level_pairs = 0;
  for (std::size_t k = kLevelFrom; k <= kReach; ++k) {
    level += g.sum[k];
    level_pairs += g.pairs[k];
  }
  if (level_pairs < kLevelPairs || !(level > 0)) return noise;
  level /= level_pairs;
  noise.sd_mm = std::sqrt(level);
  noise.pairs = static_cast<std::size_t>(level_pairs);
  noise.coarse = every;
  noise.rho.assign(kReach + 1, 0);
  noise.neighbours.assign(kReach + 1, 0);
  for (std::size_t k = 0; k <= kReach; ++k) {
    if (g.pairs[k] > 0) noise.rho[k] = 1 - g.sum[k] / g.pairs[k] / level;
    noise.neighbours[k] = static_cast<double>(every) * g.pairs[k] / g.centres;
  }
  noise.area = correlation_area(noise);
  return noise;
}

// Least squares of e² on 1 and 1/c − 1 over the zone, c the cosine of incidence: what the second
// adds to the first, 0 where the zone is too small or flat to tell.
double growth_with_incidence(const ZoneSurface& s, const Errors& errors) {
  const std::size_t n = s.points.size(), used = std::min(n, kCensus);
  if (!s.center || used < kLeastZone) return 0;
  double count = 0, x1 = 0, x2 = 0, y1 = 0, xy = 0;
  for (std::size_t k = 0; k < used; ++k) {
    const std::size_t i = k * n / used;
    if (!errors.counts(i)) continue;
    const double x = 1 / cosine(s, i) - 1, e = errors.at(i), y = e * e;
    ++count, x1 += x, x2 += x * x, y1 += y, xy += x * y;
  }
  const double spread = count * x2 - x1 * x1;
  if (!(spread > 0)) return 0;
  const double slope = (count * xy - x1 * y1) / spread, level = (y1 - slope * x1) / count;
  return level > 0 ? std::clamp(slope / level, 0.0, kMostGrowth) : 0;
}

// Share of the variance of a normal distribution that is left once the share `gone` of largest
// |deviation| is cut off.
double variance_kept(double gone) {
  if (!(gone > 0)) return 1;
  const double c = normal_quantile(1 - gone / 2);
  return 1 - 2 * c * normal_density(c) / (1 - gone);
}

}  // namespace

double correlation_area(const ZoneNoise& noise) {
  double area = 1;
  for (std::size_t k = 0; k < noise.rho.size() && k < kLevelFrom; ++k) {
    // Next neighbours always count: eight of little correlation are no little area.
    if (k > 1 && noise.rho[k] < kNoCorrelation) break;
    area += noise.neighbours[k] * noise.rho[k];
  }
  return std::max(1.0, area);
}

ZoneNoise zone_noise(const ZoneSurface& surface) {
  ZoneNoise noise;
  double growth = 0;
  const std::size_t n = surface.points.size();
  if (surface.spacing_mm > 0 && n > 0) {
    const Errors errors(surface);
    growth = growth_with_incidence(surface, errors);
    double spacing = spacing_across(surface);
    for (std::size_t every = 1; every == 1 || n / every >= kLeastZone; every *= kCoarser) {
      const Raster raster(errors, n, spacing);
      if (raster.cores().empty()) break;
      const ZoneNoise finer = std::exchange(
          noise,
          from_variogram(variogram(members(errors, n, raster, every), raster, spacing), every));
      if (noise.pairs == 0) noise = finer;
      if (noise.pairs == 0 || noise.rho[kStillAt] < kStillCorrelated) break;
      spacing *= 2;
    }
  }
  noise.growth = growth;
  if (noise.pairs == 0) noise.sd_mm = residual_stats(surface.residuals).rms;
  const double gone = n > 0 ? static_cast<double>(surface.left_out) / static_cast<double>(n) : 0;
  noise.sd_mm /= std::sqrt(variance_kept(gone));
  return noise;
}

ZoneNoise pooled_noise(const std::vector<ZoneNoise>& zones) {
  ZoneNoise pooled;
  std::map<std::size_t, std::size_t> coarseness;
  double square = 0;
  for (const ZoneNoise& z : zones) {
    square += static_cast<double>(z.pairs) * z.sd_mm * z.sd_mm;
    pooled.pairs += z.pairs;
    coarseness[z.coarse] += z.pairs;
  }
  if (pooled.pairs == 0) return pooled;
  pooled.sd_mm = std::sqrt(square / static_cast<double>(pooled.pairs));
  pooled.coarse =
      std::ranges::max_element(coarseness, {}, [](const auto& c) { return c.second; })->first;
  const auto all = static_cast<double>(coarseness[pooled.coarse]);
  for (const ZoneNoise& z : zones) {
    if (z.coarse != pooled.coarse || z.pairs == 0) continue;
    const double share = static_cast<double>(z.pairs) / all;
    pooled.rho.resize(z.rho.size(), 0);
    pooled.neighbours.resize(z.rho.size(), 0);
    for (std::size_t k = 0; k < z.rho.size(); ++k) {
      pooled.rho[k] += share * z.rho[k];
      pooled.neighbours[k] += share * z.neighbours[k];
    }
  }
  pooled.area = correlation_area(pooled);
  return pooled;
}

}  // namespace rigproof
