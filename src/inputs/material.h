#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace rigproof {

/// Linear thermal expansion near 20 °C. Values are those of common practice (handbooks of
/// engineering materials agree on them within the stated width); only the one of steel is published
/// as it stands, for gauge blocks (ISO 3650: (11.5 ± 1.0)e-6 /K).
struct Material {
  std::string name;
  double alpha_per_K = 0;
  double u_alpha_per_K = 0;  ///< standard uncertainty: half-width / √3 (rectangular)
  std::vector<std::string> also;
};

const std::vector<Material>& materials();

/// By name or another name of it, upper and lower case alike; nullptr when unknown.
const Material* find_material(std::string_view name);

/// All names, the first of each material.
std::vector<std::string> material_names();

}  // namespace rigproof
