#pragma once

#include <algorithm>
#include <cstdint>
#include <limits>

namespace rigproof {

/// splitmix64's finaliser (Steele, Lea, Flood 2014): one index in each group, not a fixed stride,
/// which would sample single columns of an image.
inline std::uint64_t mix(std::uint64_t v) {
  v += 0x9E3779B97F4A7C15u;
  v = (v ^ (v >> 30)) * 0xBF58476D1CE4E5B9u;
  v = (v ^ (v >> 27)) * 0x94D049BB133111EBu;
  return v ^ (v >> 31);
}

/// `groups` groups of almost equal length over `count` points, one point chosen from each.
class Sampling {
 public:
  Sampling(std::uint64_t count, std::uint64_t groups)
      : count_(count), groups_(groups), whole_(count / groups), rest_(count % groups) {}
  std::uint64_t groups() const { return groups_; }
  std::uint64_t begin(std::uint64_t group) const {
    return group * whole_ + group * rest_ / groups_;
  }
  /// The choice for a group whose first point is `from` and whose successor begins at `to`.
  static std::uint64_t choose(std::uint64_t group, std::uint64_t from, std::uint64_t to) {
    // The high half of 32 × 32 bits: a remainder without a division. Groups are shorter than 2^32.
    return from + (((mix(group) >> 32) * (to - from)) >> 32);
  }
  std::uint64_t chosen(std::uint64_t group) const {
    return choose(group, begin(group), begin(group + 1));
  }
  /// The first group whose chosen point is at or after `point`.
  std::uint64_t first_from(std::uint64_t point) const {
    auto group = static_cast<std::uint64_t>(
        static_cast<double>(point) / static_cast<double>(count_) * static_cast<double>(groups_));
    group = std::min(group, groups_);
    while (group > 0 && chosen(group - 1) >= point) --group;
    while (group < groups_ && chosen(group) < point) ++group;
    return group;
  }

 private:
  std::uint64_t count_, groups_, whole_, rest_;
};

/// Walks the chosen points from one on.
class Picker {
 public:
  Picker(const Sampling& sampling, std::uint64_t from)
      : sampling_(sampling), group_(sampling.first_from(from)), begin_(sampling.begin(group_)) {
    choose();
  }
  std::uint64_t group() const { return group_; }
  std::uint64_t point() const { return point_; }  ///< beyond every point at the end
  void next() {
    ++group_;
    begin_ = end_;
    choose();
  }

 private:
  void choose() {
    if (group_ >= sampling_.groups()) {
      point_ = std::numeric_limits<std::uint64_t>::max();
      return;
    }
    end_ = sampling_.begin(group_ + 1);
    point_ = Sampling::choose(group_, begin_, end_);
  }

  const Sampling& sampling_;
  std::uint64_t group_, begin_, end_ = 0, point_ = 0;
};

}  // namespace rigproof
