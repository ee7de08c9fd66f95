#pragma once

#include <cstddef>
#include <vector>

namespace rigproof {

/// Asks for huge pages in the part of [data, data + bytes) that can hold them: fresh 4 KiB pages
/// arrive at 2–3 GB/s, huge ones at 10 GB/s. Only a hint.
void advise_huge(void* data, std::size_t bytes);

/// resize() of a vector whose memory is not yet touched.
inline void resize_fresh(std::vector<double>& v, std::size_t n) {
  if (v.capacity() < n) {
    v = {};
    v.reserve(n);
    advise_huge(v.data(), n * sizeof(double));
  }
  v.resize(n);
}

}  // namespace rigproof
