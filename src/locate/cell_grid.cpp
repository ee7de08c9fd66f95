#include "locate/cell_grid.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/threads.h"

namespace rigproof {
namespace {

constexpr std::size_t kChunk = 16384;  // items whose keys are made in one go
constexpr std::size_t kBuckets = 64;   // parts of the hash built independently
constexpr std::uint64_t kNoKey = ~0ull;
constexpr std::uint32_t kAhead = 16;  // items whose points are fetched before they are needed

int floor_within_reach(double v) {
  return static_cast<int>(std::floor(std::clamp(v, -1.0 * kCellReach, kCellReach - 1.0)));
}

std::size_t chunks(std::size_t n) { return (n + kChunk - 1) / kChunk; }

}  // namespace

std::uint64_t CellGrid::hash(std::uint64_t key) {
  // Finaliser of MurmurHash3 (Appleby, public domain): every bit of the key moves every bit.
  key ^= key >> 33;
  key *= 0xff51afd7ed558ccdull;
  key ^= key >> 33;
  key *= 0xc4ceb9fe1a85ec53ull;
  return key ^ key >> 33;
}

CellGrid::Key CellGrid::key_of(const CellAddress& a) {
  const auto u = [](int v) { return static_cast<std::uint64_t>(v) + kCellReach; };
  const std::uint64_t x = u(a[0]), y = u(a[1]), z = u(a[2]);
  const std::uint64_t block = (x >> 2) | (y >> 2) << 19 | (z >> 2) << 38;
  return block << 6 | (x & 3) | (y & 3) << 2 | (z & 3) << 4;
}

CellAddress CellGrid::address_of_key(Key key) {
  const std::uint64_t block = key >> 6;
  const auto axis = [&](int shift, int bits) {
    return static_cast<int>((block >> shift & 0x7ffff) << 2 | (key >> bits & 3)) - kCellReach;
  };
  return {axis(0, 0), axis(19, 2), axis(38, 4)};
}

CellAddress CellGrid::address_of(const Vec3& p) const {
  const Vec3 v = (p - origin_) / edge_;
  return {floor_within_reach(v.x()), floor_within_reach(v.y()), floor_within_reach(v.z())};
}

const CellGrid::Block* CellGrid::find_block(std::uint64_t key) const {
  if (table_.empty()) return nullptr;
  const std::size_t mask = table_.size() - 1;
  for (std::size_t slot = hash(key) & mask; table_[slot]; slot = (slot + 1) & mask)
    if (blocks_[table_[slot] - 1].key == key) return &blocks_[table_[slot] - 1];
  return nullptr;
}

std::int64_t CellGrid::find(const CellAddress& a) const {
  for (int axis : a)
    if (axis < -kCellReach || axis >= kCellReach) return -1;
  const Key key = key_of(a);
  const Block* block = find_block(key >> 6);
  const int bit = key & 63;
  if (!block || !(block->mask >> bit & 1)) return -1;
  return block->first + std::popcount(block->mask & ((1ull << bit) - 1));
}

CellGrid::CellGrid(const Points& points, double edge, const Vec3& origin, int threads)
    : edge_(edge), origin_(origin) {
  const double scale = 1 / edge;
  // The outermost cells stay empty, so that every neighbour of a cell has a valid address.
  const double reach = kCellReach - 8;
  build(
      points.size(),
      [&](std::size_t begin, std::size_t end, Key* out) {
        for (std::size_t i = begin; i < end; ++i) {
          const double x = (points.x[i] - origin.x()) * scale;
          const double y = (points.y[i] - origin.y()) * scale;
          const double z = (points.z[i] - origin.z()) * scale;
          const bool inside = std::abs(x) < reach && std::abs(y) < reach && std::abs(z) < reach;
          // Shifted to be positive, truncation is floor.
          *out++ = inside ? key_of({static_cast<int>(x + kCellReach) - kCellReach,
                                    static_cast<int>(y + kCellReach) - kCellReach,
                                    static_cast<int>(z + kCellReach) - kCellReach})
                          : kNoKey;
        }
      },
      threads);
  moments_.resize(size());
  parallel_blocks((size() + 1023) / 1024, threads, [&](std::size_t b, int) {
    for (std::size_t c = b * 1024; c < std::min(size(), (b + 1) * 1024); ++c) {
      const Vec3 m = block_middle(c);
      for (std::uint32_t k = begin_[c]; k < begin_[c + 1]; ++k) {
        const std::uint32_t i = items_[k];
        if (k + kAhead < items_.size()) {  // neighbours in space lie far apart in memory
          const std::uint32_t next = items_[k + kAhead];
          __builtin_prefetch(&points.x[next]);
          __builtin_prefetch(&points.y[next]);
          __builtin_prefetch(&points.z[next]);
        }
        moments_[c].add((points.x[i] - m.x()) * scale,
                        (points.y[i] - m.y()) * scale,
                        (points.z[i] - m.z()) * scale);
      }
    }
  });
}

CellGrid::CellGrid(const CellGrid& finer, int threads)
    : edge_(2 * finer.edge_), origin_(finer.origin_) {
  build(
      finer.size(),
      [&](std::size_t begin, std::size_t end, Key* out) {
        for (std::size_t i = begin; i < end; ++i) {
          const CellAddress& a = finer.address(i);
          *out++ = key_of({a[0] >> 1, a[1] >> 1, a[2] >> 1});
        }
      },
      threads);
  moments_.resize(size());
  parallel_blocks((size() + 1023) / 1024, threads, [&](std::size_t b, int) {
    for (std::size_t c = b * 1024; c < std::min(size(), (b + 1) * 1024); ++c)
      for (std::uint32_t k = begin_[c]; k < begin_[c + 1]; ++k) {
        // Its block is one of the eight halves of ours.
        const CellAddress& a = finer.address(items_[k]);
        const Vec3 t(a[0] & 4 ? 1 : -1, a[1] & 4 ? 1 : -1, a[2] & 4 ? 1 : -1);
        moments_[c].add_moved(finer.moments(items_[k]).scaled(0.5), t);
      }
  });
}

CellMoments CellGrid::pooled(std::size_t cell) const {
  const CellAddress& a = addresses_[cell];
  CellMoments sum;
  for_neighbour_blocks(a, [&](const Block& block, const CellAddress& at) {
    std::uint64_t wanted = 0;
    for_steps(a, at, [&](int, int, int, int bit) { wanted |= 1ull << bit; });
    CellMoments here;
    for (std::uint64_t mask = block.mask & wanted; mask; mask &= mask - 1) {
      const std::uint64_t below = (mask & -mask) - 1;
      here.add(moments_[block.first + std::popcount(block.mask & below)]);
    }
    const Vec3 t(at[0] - (a[0] >> 2), at[1] - (a[1] >> 2), at[2] - (a[2] >> 2));
    if (here.n > 0) sum.add_moved(here, 4 * t);
  });
  return sum;
}

void CellGrid::build(std::size_t n, const KeyOf& keys, int threads) {
  // 1. A key an item, and how many of each chunk fall into each bucket.
  FreshVector<Key> key(n);
  std::vector<std::array<std::uint32_t, kBuckets>> count(chunks(n));
  const auto bucket_of = [](Key k) { return hash(k >> 6) >> 58; };
  parallel_blocks(chunks(n), threads, [&](std::size_t b, int) {
    const std::size_t begin = b * kChunk, end = std::min(n, begin + kChunk);
    keys(begin, end, key.data() + begin);
    count[b].fill(0);
    for (std::size_t i = begin; i < end; ++i)
      if (key[i] != kNoKey) ++count[b][bucket_of(key[i])];
  });

  // 2. Items bucket by bucket, in each bucket in their own order.
  std::array<std::uint32_t, kBuckets + 1> bucket_begin{};
  std::uint32_t total = 0;
  for (std::size_t k = 0; k < kBuckets; ++k) {
    bucket_begin[k] = total;
    for (auto& c : count) {
      const std::uint32_t here = c[k];
      c[k] = total;
      total += here;
    }
  }
  bucket_begin[kBuckets] = total;
  struct Entry {
    Key key;
    std::uint32_t item, block;
  };
  FreshVector<Entry> entries(total);
  parallel_blocks(chunks(n), threads, [&](std::size_t b, int) {
    for (std::size_t i = b * kChunk; i < std::min(n, (b + 1) * kChunk); ++i)
      if (key[i] != kNoKey)
        entries[count[b][bucket_of(key[i])]++] = {key[i], static_cast<std::uint32_t>(i), 0};
  });

  // 3. In each bucket: which blocks, which cells, how many items a cell.
  struct Part {
    std::vector<Block> blocks;
    std::vector<std::uint32_t> counts;  // items a cell, cells in block order
  };
  std::array<Part, kBuckets> parts;
  parallel_blocks(kBuckets, threads, [&](std::size_t k, int) {
    Part& part = parts[k];
    std::vector<std::uint32_t> slots(64, 0);
    const auto grow = [&] {
      slots.assign(2 * slots.size(), 0);
      for (std::size_t b = 0; b < part.blocks.size(); ++b) {
        std::size_t s = hash(part.blocks[b].key) & (slots.size() - 1);
        while (slots[s]) s = (s + 1) & (slots.size() - 1);
        slots[s] = b + 1;
      }
    };
    std::uint64_t last = kNoKey;
    std::uint32_t block = 0;
    for (std::uint32_t e = bucket_begin[k]; e < bucket_begin[k + 1]; ++e) {
      const std::uint64_t wanted = entries[e].key >> 6;
      if (wanted != last) {
        std::size_t s = hash(wanted) & (slots.size() - 1);
        while (slots[s] && part.blocks[slots[s] - 1].key != wanted)
          s = (s + 1) & (slots.size() - 1);
        if (!slots[s]) {
          part.blocks.push_back({wanted, 0, 0});
          slots[s] = part.blocks.size();
          block = slots[s] - 1;
          if (2 * part.blocks.size() > slots.size()) grow();
        } else {
          block = slots[s] - 1;
        }
        last = wanted;
      }
      part.blocks[block].mask |= 1ull << (entries[e].key & 63);
      entries[e].block = block;
    }
    std::uint32_t cells = 0;
    for (Block& b : part.blocks) {
      b.first = cells;
      cells += std::popcount(b.mask);
    }
    part.counts.assign(cells, 0);
    for (std::uint32_t e = bucket_begin[k]; e < bucket_begin[k + 1]; ++e) {
      const Block& b = part.blocks[entries[e].block];
      entries[e].block =
          b.first + std::popcount(b.mask & ((1ull << (entries[e].key & 63)) - 1));  // now the cell
      ++part.counts[entries[e].block];
    }
  });

  // 4. One list of blocks and cells; items sorted into their cells.
  std::array<std::uint32_t, kBuckets + 1> cell_begin{}, block_begin{};
  for (std::size_t k = 0; k < kBuckets; ++k) {
    cell_begin[k + 1] = cell_begin[k] + parts[k].counts.size();
    block_begin[k + 1] = block_begin[k] + parts[k].blocks.size();
  }
  blocks_.resize(block_begin[kBuckets]);
  addresses_.resize(cell_begin[kBuckets]);
  begin_.resize(cell_begin[kBuckets] + 1);
  begin_.back() = total;
  items_.resize(total);
  parallel_blocks(kBuckets, threads, [&](std::size_t k, int) {
    Part& part = parts[k];
    for (std::size_t b = 0; b < part.blocks.size(); ++b) {
      Block block = part.blocks[b];
      std::uint32_t cell = cell_begin[k] + block.first;
      for (std::uint64_t mask = block.mask; mask; mask &= mask - 1)
        addresses_[cell++] = address_of_key(block.key << 6 | std::countr_zero(mask));
      block.first += cell_begin[k];
      blocks_[block_begin[k] + b] = block;
    }
    std::uint32_t at = bucket_begin[k];
    for (std::size_t c = 0; c < part.counts.size(); ++c) {
      begin_[cell_begin[k] + c] = at;
      at += std::exchange(part.counts[c], at);
    }
    for (std::uint32_t e = bucket_begin[k]; e < bucket_begin[k + 1]; ++e)
      items_[part.counts[entries[e].block]++] = entries[e].item;
  });

  table_.assign(std::bit_ceil(std::max<std::size_t>(16, 2 * blocks_.size())), 0);
  for (std::size_t b = 0; b < blocks_.size(); ++b) {
    std::size_t s = hash(blocks_[b].key) & (table_.size() - 1);
    while (table_[s]) s = (s + 1) & (table_.size() - 1);
    table_[s] = b + 1;
  }
}

}  // namespace rigproof
