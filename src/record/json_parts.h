// What the writers of this room's documents share; only they include it.
#pragma once

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

}  // namespace rigproof
