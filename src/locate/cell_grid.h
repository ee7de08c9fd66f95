#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <functional>
#include <vector>

#include "base/fresh_memory.h"
#include "geometry/points.h"
#include "locate/cell_moments.h"

namespace rigproof {

/// Integer address of a cell: floor((p − origin)/edge), within ±2²⁰.
using CellAddress = std::array<int, 3>;
inline constexpr int kCellReach = 1 << 20;

/// Occupied cells of a cubic lattice. Cells are stored in blocks of 4×4×4 that remember by one bit
/// a cell which of them exist; blocks are found by hashing. Memory follows the number of occupied
/// cells, never the extent of the points: a point at 1e30 is simply out of reach and left out.
/// Cells, and the items in a cell, have an order that no number of threads changes.
class CellGrid {
 public:
  /// Cells of edge `edge` (mm) about `origin`, both in the frame of `points` (local).
  CellGrid(const Points& points, double edge, const Vec3& origin, int threads);
  /// Cells of twice the edge; the items of a cell are cells of `finer`.
  CellGrid(const CellGrid& finer, int threads);

  double edge() const { return edge_; }
  const Vec3& origin() const { return origin_; }
  std::size_t size() const { return addresses_.size(); }
  const CellAddress& address(std::size_t cell) const { return addresses_[cell]; }
  /// About the middle of the cell's block of 4×4×4.
  const CellMoments& moments(std::size_t cell) const { return moments_[cell]; }
  Vec3 block_middle(std::size_t cell) const {
    const CellAddress& a = addresses_[cell];
    return origin_ + edge_ * Vec3((a[0] & ~3) + 2, (a[1] & ~3) + 2, (a[2] & ~3) + 2);
  }
  Vec3 mean(std::size_t cell) const {
    return block_middle(cell) + edge_ * (moments_[cell].q / moments_[cell].n);
  }
  /// Over the occupied cells within one step, itself included, about the middle of its block.
  CellMoments pooled(std::size_t cell) const;
  Vec3 middle(const CellAddress& a) const {
    return origin_ + edge_ * Vec3(a[0] + 0.5, a[1] + 0.5, a[2] + 0.5);
  }
  Vec3 middle(std::size_t cell) const { return middle(addresses_[cell]); }
  CellAddress address_of(const Vec3& p) const;
  /// Items of a cell are items()[item_begin(cell)] … items()[item_begin(cell + 1) − 1], ascending.
  std::uint32_t item_begin(std::size_t cell) const { return begin_[cell]; }
  const FreshVector<std::uint32_t>& items() const { return items_; }

  /// Cell at an address, or −1.
  std::int64_t find(const CellAddress& a) const;
  /// Calls visit(cell, dx, dy, dz) for the occupied cells within one step, itself included.
  template <class Visit>
  void for_neighbours(std::size_t cell, const Visit& visit) const;
  /// Calls visit(cell) for the occupied cells whose middle lies within `reach` of p, block by
  /// block.
  template <class Visit>
  void for_cells_near(const Vec3& p, double reach, const Visit& visit) const;

 private:
  struct Block {
    std::uint64_t key = 0, mask = 0;
    std::uint32_t first = 0;  // index of its first cell
  };
  using Key = std::uint64_t;  // block key, 57 bits, above 6 bits of the cell within
  using KeyOf = std::function<void(std::size_t begin, std::size_t end, Key* out)>;

  /// visit(block, its place in units of blocks) for the blocks that hold cells within one step of
  /// a cell's address.
  template <class Visit>
  void for_neighbour_blocks(const CellAddress& a, const Visit& visit) const;
  /// visit(dx, dy, dz, bit) for the steps from `a` that end in the block at `at`.
  template <class Visit>
  static void for_steps(const CellAddress& a, const CellAddress& at, const Visit& visit) {
    const auto least = [&](int k) { return std::max(-1, at[k] * 4 - a[k]); };
    const auto most = [&](int k) { return std::min(1, at[k] * 4 + 3 - a[k]); };
    for (int dz = least(2); dz <= most(2); ++dz)
      for (int dy = least(1); dy <= most(1); ++dy)
        for (int dx = least(0); dx <= most(0); ++dx)
          visit(dx, dy, dz, ((a[0] + dx) & 3) | ((a[1] + dy) & 3) << 2 | ((a[2] + dz) & 3) << 4);
  }

  void build(std::size_t items, const KeyOf& keys, int threads);
  const Block* find_block(std::uint64_t key) const;
  static std::uint64_t hash(std::uint64_t key);
  static Key key_of(const CellAddress& a);
  static CellAddress address_of_key(Key key);

  double edge_ = 1;
  Vec3 origin_ = Vec3::Zero();
  std::vector<Block> blocks_;
  std::vector<std::uint32_t> table_;  // open addressing: block index + 1, 0 free
  FreshVector<CellAddress> addresses_;
  FreshVector<CellMoments> moments_;
  FreshVector<std::uint32_t> begin_, items_;
};

template <class Visit>
void CellGrid::for_neighbour_blocks(const CellAddress& a, const Visit& visit) const {
  // At most eight blocks meet the 3×3×3 neighbourhood; each is looked up once.
  const int lo[3] = {(a[0] - 1) >> 2, (a[1] - 1) >> 2, (a[2] - 1) >> 2};
  const int hi[3] = {(a[0] + 1) >> 2, (a[1] + 1) >> 2, (a[2] + 1) >> 2};
  for (int bz = lo[2]; bz <= hi[2]; ++bz)
    for (int by = lo[1]; by <= hi[1]; ++by)
      for (int bx = lo[0]; bx <= hi[0]; ++bx)
        if (const Block* block = find_block(key_of({bx * 4, by * 4, bz * 4}) >> 6))
          visit(*block, CellAddress{bx, by, bz});
}

template <class Visit>
void CellGrid::for_neighbours(std::size_t cell, const Visit& visit) const {
  const CellAddress a = addresses_[cell];
  for_neighbour_blocks(a, [&](const Block& block, const CellAddress& at) {
    for_steps(a, at, [&](int dx, int dy, int dz, int bit) {
      if (block.mask >> bit & 1)
        visit(block.first + std::popcount(block.mask & ((1ull << bit) - 1)), dx, dy, dz);
    });
  });
}

template <class Visit>
void CellGrid::for_cells_near(const Vec3& p, double reach, const Visit& visit) const {
  const CellAddress lo = address_of(p - Vec3::Constant(reach));
  const CellAddress hi = address_of(p + Vec3::Constant(reach));
  for (int bz = lo[2] >> 2; bz <= hi[2] >> 2; ++bz)
    for (int by = lo[1] >> 2; by <= hi[1] >> 2; ++by)
      for (int bx = lo[0] >> 2; bx <= hi[0] >> 2; ++bx) {
        const Block* block = find_block(key_of({bx * 4, by * 4, bz * 4}) >> 6);
        if (!block) continue;
        std::uint32_t cell = block->first;
        for (std::uint64_t mask = block->mask; mask; mask &= mask - 1, ++cell)
          if ((middle(cell) - p).squaredNorm() <= reach * reach) visit(cell);
      }
}

}  // namespace rigproof
