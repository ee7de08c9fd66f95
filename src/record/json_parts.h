// What this room's documents share when they are written and read; only its sources include it.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>

#include <nlohmann/json.hpp>

#include "geometry/points.h"
#include "judge/decision.h"
#include "judge/finding.h"

namespace rigproof {

using Json = nlohmann::ordered_json;

inline Json vector_json(const Vec3& v) { return {v.x(), v.y(), v.z()}; }

template <class T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

inline constexpr std::array kVerdicts{
    Verdict::within, Verdict::outside, Verdict::undecided, Verdict::invalid};
inline constexpr std::array kSeverities{Severity::note, Severity::warn, Severity::stop};

/// The one whose to_string() a document holds.
template <class Enum, std::size_t N>
std::optional<Enum> named(const std::string& text, const std::array<Enum, N>& known) {
  const auto it = std::ranges::find(known, text, [](const Enum e) { return to_string(e); });
  return it == known.end() ? std::nullopt : std::optional(*it);
}

/// Whether a read number can be one that was measured, in any unit. Larger ones leave what a double
/// holds as soon as anything is computed from them.
inline bool is_measurable(double number) { return std::abs(number) <= 1e30; }

}  // namespace rigproof
