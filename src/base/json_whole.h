#pragma once

#include <cstdint>
#include <optional>
#include <utility>

namespace rigproof {

/// The whole number that a node of a parsed document (nlohmann) holds. nullopt for any other node
/// and for what T cannot hold: the library's own conversion is undefined for 1e308 and takes −1 for
/// 2⁶⁴ − 1.
template <class T, class Json>
std::optional<T> whole_number(const Json& node) {
  if (node.is_number_unsigned()) {
    const auto n = node.template get<std::uint64_t>();
    if (std::in_range<T>(n)) return static_cast<T>(n);
  } else if (node.is_number_integer()) {
    const auto n = node.template get<std::int64_t>();
    if (std::in_range<T>(n)) return static_cast<T>(n);
  }
  return std::nullopt;
}

}  // namespace rigproof
