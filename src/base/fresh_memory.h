#pragma once

#include <cstddef>
#include <memory>
#include <new>
#include <utility>
#include <vector>

namespace rigproof {

/// For vectors that are sized first and then filled by several threads: resize() leaves new
/// elements without a value, where std::allocator would have one thread write zeros to them all.
template <class T>
struct FreshAllocator {
  using value_type = T;
  FreshAllocator() = default;
  template <class U>
  FreshAllocator(const FreshAllocator<U>&) noexcept {}

  T* allocate(std::size_t n) { return std::allocator<T>().allocate(n); }
  void deallocate(T* memory, std::size_t n) noexcept { std::allocator<T>().deallocate(memory, n); }
  template <class U>
  void construct(U* at) noexcept {
    ::new (static_cast<void*>(at)) U;
  }
  template <class U, class... Args>
  void construct(U* at, Args&&... args) {
    ::new (static_cast<void*>(at)) U(std::forward<Args>(args)...);
  }
  friend bool operator==(const FreshAllocator&, const FreshAllocator&) { return true; }
};

template <class T>
using FreshVector = std::vector<T, FreshAllocator<T>>;

}  // namespace rigproof
