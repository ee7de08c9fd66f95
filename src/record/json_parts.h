// What this room's documents share when they are written and read; only its sources include it.
#pragma once

#include <cmath>
#include <optional>

#include <nlohmann/json.hpp>

#include "geometry/points.h"

namespace rigproof {

using Json = nlohmann::ordered_json;

inline Json vector_json(const Vec3& v) { return {v.x(), v.y(), v.z()}; }

template <class T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

/// Whether a read number can be one that was measured, in any unit. Larger ones leave what a double
/// holds as soon as anything is computed from them.
inline bool is_measurable(double number) { return std::abs(number) <= 1e30; }

}  // namespace rigproof
