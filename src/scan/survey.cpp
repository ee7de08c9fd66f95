#include "scan/survey.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <type_traits>

#include "base/threads.h"
#include "scan/extremes.h"
#include "scan/sampling.h"

namespace rigproof {
namespace {

constexpr std::size_t kBlockBytes = 256u << 10;
constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

std::size_t block_points_for(const Layout& layout) {
  return std::max<std::size_t>(1, kBlockBytes / layout.stride / Survey::kRun) * Survey::kRun;
}

/// A little of the file, evenly spread: share of finite points and where the bulk of them lies.
struct Probe {
  double finite_share = 1;
  Vec3 median = Vec3::Zero();
  double size = 0;  ///< largest interquartile range

  Probe(const PointTable& table, const Delivery& delivery);
};

Probe::Probe(const PointTable& table, const Delivery& delivery) {
  static constexpr std::uint64_t kPlaces = 256, kEach = 64;
  const Layout& layout = table.layout;
  std::vector<char> buffer(std::min(kEach, table.count) * layout.stride);
  std::vector<double> values[3];
  std::uint64_t seen = 0, next = 0;
  for (std::uint64_t place = 0; place < kPlaces; ++place) {
    const std::uint64_t from = std::max(next, place * (table.count / kPlaces));
    const std::uint64_t n = std::min(kEach, table.count - std::min(table.count, from));
    if (n == 0) break;
    next = from + n;
    table.bytes->read(table.start + from * layout.stride, buffer.data(), n * layout.stride);
    double x[kEach], y[kEach], z[kEach];
    unpack(layout, buffer.data(), n, x, y, z);
    for (std::uint64_t i = 0; i < n; ++i) {
      if (!std::isfinite(x[i]) || !std::isfinite(y[i]) || !std::isfinite(z[i])) continue;
      const Vec3 p = delivery.file_mm(x[i], y[i], z[i]);
      for (int c = 0; c < 3; ++c) values[c].push_back(p[c]);
    }
    seen += n;
  }
  if (values[0].empty()) {
    finite_share = 0;
    return;
  }
  finite_share = static_cast<double>(values[0].size()) / static_cast<double>(seen);
  for (int c = 0; c < 3; ++c) {
    const auto quantile = [&](double q) {
      const auto at = values[c].begin() +
                      static_cast<std::ptrdiff_t>(q * static_cast<double>(values[c].size() - 1));
      std::nth_element(values[c].begin(), at, values[c].end());
      return *at;
    };
    median[c] = quantile(0.5);
    size = std::max(size, quantile(0.75) - quantile(0.25));
  }
}

float round_down(double v) {
  if (v < -std::numeric_limits<float>::max()) return -std::numeric_limits<float>::infinity();
  if (v > std::numeric_limits<float>::max()) return std::numeric_limits<float>::max();
  const auto f = static_cast<float>(v);
  return static_cast<double>(f) <= v ? f
                                     : std::nextafter(f, -std::numeric_limits<float>::infinity());
}
float round_down(float v) { return v; }
template <class T>
float round_up(T v) {
  return -round_down(-v);
}

/// The pass itself, in float for files of floats, else in double.
template <class T>
class Pass {
 public:
  Pass(const PointTable& table, const Delivery& delivery, const Sampling& sampling, Survey& out)
      : table_(table), delivery_(delivery), sampling_(sampling), out_(out) {
    boxes_.resize(out.blocks(table.count));
    bare_floats_ = table.layout.is_packed_float();
    packed_ = bare_floats_ && !delivery.turned;
  }

  void block(std::size_t b, std::vector<char>& buffer) {
    const std::uint64_t from = b * std::uint64_t{out_.block_points};
    const auto n =
        static_cast<std::size_t>(std::min<std::uint64_t>(out_.block_points, table_.count - from));
    // No more than the file has: a record may be long and the file short.
    buffer.resize(std::min<std::uint64_t>(out_.block_points, table_.count) * table_.layout.stride);
    table_.bytes->read(
        table_.start + from * table_.layout.stride, buffer.data(), n * table_.layout.stride);
    Picker picker(sampling_, from);
    for (std::size_t at = 0; at < n; at += Survey::kRun)
      run(b,
          from + at,
          buffer.data() + at * table_.layout.stride,
          std::min(Survey::kRun, n - at),
          picker);
  }

  void finish() {
    for (const Box& box : boxes_) {
      if (box.empty()) continue;
      out_.box.add(box.lo);
      out_.box.add(box.hi);
    }
    out_.finite = table_.count;
    for (const std::uint16_t dropped : out_.dropped) out_.finite -= dropped;
  }

 private:
  void run(std::size_t b, std::uint64_t first, const char* data, std::size_t n, Picker& picker) {
    const Layout& layout = table_.layout;
    for (; picker.point() < first + n; picker.next()) {
      T p[3];
      const char* at = data + (picker.point() - first) * layout.stride;
      if (std::is_same_v<T, float> && bare_floats_)
        std::memcpy(p, at, sizeof p);
      else
        unpack(layout, at, 1, &p[0], &p[1], &p[2]);
      sample(picker.group(), p[0], p[1], p[2]);
    }
    T lo[3], hi[3];
    if constexpr (std::is_same_v<T, float>)
      if (packed_ && packed_extremes(data, n, lo, hi)) return note(b, first, n, n, lo, hi);
    T x[Survey::kRun], y[Survey::kRun], z[Survey::kRun];
    unpack(layout, data, n, x, y, z);
    std::size_t kept = n;
    const auto all_extremes = [&] {
      const bool fx = extremes(x, kept, lo[0], hi[0]);
      const bool fy = extremes(y, kept, lo[1], hi[1]);
      return extremes(z, kept, lo[2], hi[2]) && fx && fy;
    };
    if (!all_extremes()) {
      kept = keep_finite(x, y, z, n);
      all_extremes();
    }
    note(b, first, n, kept, lo, hi);
    if (delivery_.turned)
      for (std::size_t i = 0; i < kept; ++i) boxes_[b].add(delivery_.sensor(x[i], y[i], z[i]));
  }

  /// A run's box and its count of non-finite points.
  void note(std::size_t b,
            std::uint64_t first,
            std::size_t n,
            std::size_t kept,
            const T* lo,
            const T* hi) {
    const std::size_t index = first / Survey::kRun;
    out_.dropped[index] = static_cast<std::uint16_t>(n - kept);
    for (int c = 0; c < 3; ++c) {
      out_.runs[index].lo[c] = round_down(lo[c]);
      out_.runs[index].hi[c] = round_up(hi[c]);
    }
    if (kept == 0 || delivery_.turned) return;
    boxes_[b].add(delivery_.sensor(lo[0], lo[1], lo[2]));
    boxes_[b].add(delivery_.sensor(hi[0], hi[1], hi[2]));
  }

  void sample(std::uint64_t group, T x, T y, T z) {
    const bool finite = std::isfinite(x) && std::isfinite(y) && std::isfinite(z);
    const Vec3 p = finite ? delivery_.local(x, y, z, out_.origin) : Vec3::Constant(kNaN);
    out_.sample.x[group] = p.x();
    out_.sample.y[group] = p.y();
    out_.sample.z[group] = p.z();
  }

  const PointTable& table_;
  const Delivery& delivery_;
  const Sampling& sampling_;
  Survey& out_;
  std::vector<Box> boxes_;
  bool bare_floats_ = false;  ///< records are three floats in host order
  bool packed_ = false;       ///< and the box of the floats is the box of the points
};

template <class T>
void run_pass(const PointTable& table,
              const Delivery& delivery,
              const Sampling& sampling,
              int threads,
              Survey& out) {
  Pass<T> pass(table, delivery, sampling, out);
  std::vector<std::vector<char>> buffers(threads > 0 ? threads : default_threads());
  parallel_blocks(out.blocks(table.count), threads, [&](std::size_t b, int worker) {
    pass.block(b, buffers[worker]);
  });
  pass.finish();
}

/// One pass with about `groups` sampled points.
void pass_with(const PointTable& table,
               const Delivery& delivery,
               std::uint64_t groups,
               int threads,
               Survey& out) {
  const auto runs = static_cast<std::size_t>((table.count + Survey::kRun - 1) / Survey::kRun);
  out.runs.resize(runs);
  out.dropped.assign(runs, 0);
  out.box = {};
  for (auto* v : {&out.sample.x, &out.sample.y, &out.sample.z}) v->resize(groups);
  const Sampling sampling(table.count, groups);
  if (table.layout.is_float())
    run_pass<float>(table, delivery, sampling, threads, out);
  else
    run_pass<double>(table, delivery, sampling, threads, out);
  if (out.finite == table.count) return;
  const std::size_t kept =
      keep_finite(out.sample.x.data(), out.sample.y.data(), out.sample.z.data(), groups);
  for (auto* v : {&out.sample.x, &out.sample.y, &out.sample.z}) v->resize(kept);
}

}  // namespace

Vec3 round_origin(const Vec3& middle, double size) {
  const double largest = middle.cwiseAbs().maxCoeff();
  // Below that the step would underflow.
  if (!(largest > std::numeric_limits<float>::min()) || !std::isfinite(largest))
    return Vec3::Zero();
  // Never finer than 2^-20 of the coordinate itself: 20 bits leave room for exact differences.
  const double wish = std::max(size / 16, largest * 0x1p-20);
  const double step = std::exp2(std::ceil(std::log2(wish)));
  return (middle / step).array().round().matrix() * step;
}

Survey survey(const PointTable& table,
              const Delivery& delivery,
              std::size_t sample_target,
              int threads) {
  Survey out;
  out.block_points = block_points_for(table.layout);
  if (table.count == 0) return out;
  const Probe probe(table, delivery);
  out.origin = table.keep_origin ? delivery.base : round_origin(probe.median, probe.size);
  out.sample.origin = delivery.sensor_origin(out.origin);

  const double wanted = static_cast<double>(sample_target) / std::max(probe.finite_share, 1e-6);
  const std::uint64_t groups = wanted >= static_cast<double>(table.count)
                                   ? table.count
                                   : std::max<std::uint64_t>(1, static_cast<std::uint64_t>(wanted));
  pass_with(table, delivery, groups, threads, out);
  // The probe missed a small cloud among many invalid pixels: all of them are wanted then.
  if (out.finite <= sample_target && out.sample.size() < out.finite)
    pass_with(table, delivery, table.count, threads, out);
  return out;
}

}  // namespace rigproof
