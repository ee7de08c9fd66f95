#include "scan/gather.h"

#include <algorithm>
#include <cmath>

#include "base/threads.h"
#include "scan/region_filter.h"

namespace rigproof {
namespace {

/// Points of one region found in one block.
struct Part {
  std::vector<double> x, y, z;
};

bool meets(const RunBox& run, const RegionFilter& region) {
  for (int c = 0; c < 3; ++c)
    if (run.lo[c] > region.hi[c] || run.hi[c] < region.lo[c]) return false;
  return true;
}

/// Reads the runs [first, last) and hands each one, unpacked, to use(run, x, y, z, n).
template <class T, class Use>
void read_runs(const PointTable& table,
               std::size_t first,
               std::size_t last,
               std::vector<char>& buffer,
               const Use& use) {
  const std::size_t stride = table.layout.stride;
  const std::uint64_t from = first * std::uint64_t{Survey::kRun};
  const auto n = static_cast<std::size_t>(
      std::min<std::uint64_t>((last - first) * Survey::kRun, table.count - from));
  buffer.resize(n * stride);
  table.bytes->read(table.start + from * stride, buffer.data(), n * stride);
  for (std::size_t run = first; run < last; ++run) {
    const std::size_t at = (run - first) * Survey::kRun;
    const std::size_t m = std::min(Survey::kRun, n - at);
    T x[Survey::kRun], y[Survey::kRun], z[Survey::kRun];
    unpack(table.layout, buffer.data() + at * stride, m, x, y, z);
    use(run, x, y, z, m);
  }
}

/// Second pass in the file's scalar type: a conservative box test on the raw values first, then the
/// exact test in double on the few that pass it.
template <class T>
class Pass {
 public:
  Pass(const PointTable& table,
       const Delivery& delivery,
       const Survey& survey,
       std::span<const RegionFilter> regions)
      : table_(table), delivery_(delivery), survey_(survey), regions_(regions) {}

  std::vector<Part> block(std::size_t b, std::vector<char>& buffer) const {
    const std::size_t runs_a_block = survey_.block_points / Survey::kRun;
    const std::size_t end = std::min((b + 1) * runs_a_block, survey_.runs.size());
    std::vector<Part> parts;
    for (std::size_t run = b * runs_a_block; run < end;) {
      if (!wanted(run)) {
        ++run;
        continue;
      }
      std::size_t last = run + 1;
      while (last < end && wanted(last)) ++last;
      parts.resize(regions_.size());
      read_runs<T>(table_,
                   run,
                   last,
                   buffer,
                   [&](std::size_t r, const T* x, const T* y, const T* z, std::size_t n) {
                     for (std::size_t k = 0; k < regions_.size(); ++k)
                       if (meets(survey_.runs[r], regions_[k]))
                         filter(regions_[k], x, y, z, n, parts[k]);
                   });
      run = last;
    }
    return parts;
  }

 private:
  bool wanted(std::size_t run) const {
    return std::ranges::any_of(regions_,
                               [&](const RegionFilter& r) { return meets(survey_.runs[run], r); });
  }

  void filter(const RegionFilter& region,
              const T* x,
              const T* y,
              const T* z,
              std::size_t n,
              Part& out) const {
    std::uint16_t hit[Survey::kRun];
    std::size_t hits = 0;
    for (std::size_t i = 0; i < n; ++i) {
      hit[hits] = static_cast<std::uint16_t>(i);
      hits += (x[i] >= region.lo[0]) & (x[i] <= region.hi[0]) & (y[i] >= region.lo[1]) &
              (y[i] <= region.hi[1]) & (z[i] >= region.lo[2]) & (z[i] <= region.hi[2]);
    }
    for (std::size_t h = 0; h < hits; ++h) {
      const std::size_t i = hit[h];
      // An infinite region box lets non-finite values through to here.
      if (!std::isfinite(x[i]) || !std::isfinite(y[i]) || !std::isfinite(z[i])) continue;
      if (!region.contains(delivery_.sensor(x[i], y[i], z[i]))) continue;
      const Vec3 p = delivery_.local(x[i], y[i], z[i], region.origin);
      out.x.push_back(p.x());
      out.y.push_back(p.y());
      out.z.push_back(p.z());
    }
  }

  const PointTable& table_;
  const Delivery& delivery_;
  const Survey& survey_;
  std::span<const RegionFilter> regions_;
};

template <class T>
std::vector<std::vector<Part>> find(const PointTable& table,
                                    const Delivery& delivery,
                                    const Survey& survey,
                                    std::span<const RegionFilter> regions,
                                    int threads) {
  const Pass<T> pass(table, delivery, survey, regions);
  std::vector<std::vector<Part>> found(survey.blocks(table.count));
  std::vector<std::vector<char>> buffers(threads > 0 ? threads : default_threads());
  parallel_blocks(found.size(), threads, [&](std::size_t b, int worker) {
    found[b] = pass.block(b, buffers[worker]);
  });
  return found;
}

/// The parts of region k end to end.
Points join(std::vector<std::vector<Part>>& found, std::size_t k, const Vec3& origin) {
  std::size_t n = 0;
  for (const auto& parts : found)
    if (!parts.empty()) n += parts[k].x.size();
  Points out;
  out.origin = origin;
  out.reserve(n);
  for (auto& parts : found) {
    if (parts.empty()) continue;
    Part& part = parts[k];
    out.x.insert(out.x.end(), part.x.begin(), part.x.end());
    out.y.insert(out.y.end(), part.y.begin(), part.y.end());
    out.z.insert(out.z.end(), part.z.begin(), part.z.end());
    part = {};
  }
  return out;
}

template <class T>
void copy_all(const PointTable& table,
              const Delivery& delivery,
              const Survey& survey,
              const std::vector<std::uint64_t>& starts,
              int threads,
              Points& out) {
  const std::size_t runs_a_block = survey.block_points / Survey::kRun;
  std::vector<std::vector<char>> buffers(threads > 0 ? threads : default_threads());
  parallel_blocks(survey.blocks(table.count), threads, [&](std::size_t b, int worker) {
    const std::size_t end = std::min((b + 1) * runs_a_block, survey.runs.size());
    read_runs<T>(table,
                 b * runs_a_block,
                 end,
                 buffers[worker],
                 [&](std::size_t run, const T* x, const T* y, const T* z, std::size_t n) {
                   std::uint64_t to = starts[run];
                   for (std::size_t i = 0; i < n; ++i) {
                     if (!std::isfinite(x[i]) || !std::isfinite(y[i]) || !std::isfinite(z[i]))
                       continue;
                     // A file that changes under our feet is reported after the pass.
                     if (to == starts[run + 1]) return;
                     const Vec3 p = delivery.local(x[i], y[i], z[i], survey.origin);
                     out.x[to] = p.x();
                     out.y[to] = p.y();
                     out.z[to] = p.z();
                     ++to;
                   }
                 });
  });
}

}  // namespace

std::vector<Points> gather_regions(const PointTable& table,
                                   const Delivery& delivery,
                                   const Survey& survey,
                                   std::span<const Region> regions,
                                   int threads) {
  std::vector<RegionFilter> filters;
  filters.reserve(regions.size());
  for (const Region& region : regions) filters.emplace_back(region, delivery, survey.origin);
  auto found = table.layout.is_float() ? find<float>(table, delivery, survey, filters, threads)
                                       : find<double>(table, delivery, survey, filters, threads);
  table.bytes->check_unchanged();
  std::vector<Points> out;
  out.reserve(regions.size());
  for (std::size_t k = 0; k < regions.size(); ++k)
    out.push_back(join(found, k, delivery.sensor_origin(filters[k].origin)));
  return out;
}

Points gather_all(const PointTable& table,
                  const Delivery& delivery,
                  const Survey& survey,
                  int threads) {
  std::vector<std::uint64_t> starts(survey.runs.size() + 1, 0);
  for (std::size_t run = 0; run < survey.runs.size(); ++run) {
    const std::uint64_t n =
        std::min<std::uint64_t>(Survey::kRun, table.count - run * std::uint64_t{Survey::kRun});
    starts[run + 1] = starts[run] + n - survey.dropped[run];
  }
  Points out;
  out.origin = delivery.sensor_origin(survey.origin);
  for (auto* v : {&out.x, &out.y, &out.z}) v->resize(starts.back());
  if (table.layout.is_float())
    copy_all<float>(table, delivery, survey, starts, threads, out);
  else
    copy_all<double>(table, delivery, survey, starts, threads, out);
  table.bytes->check_unchanged();
  return out;
}

}  // namespace rigproof
