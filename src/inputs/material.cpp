#include "inputs/material.h"

#include <algorithm>

namespace rigproof {
namespace {

constexpr double kSqrt3 = 1.7320508075688772;

Material of(const char* name, double ppm, double half_width, std::vector<std::string> also = {}) {
  return {name, ppm * 1e-6, half_width * 1e-6 / kSqrt3, std::move(also)};
}

std::string plain(std::string_view name) {
  std::string out;
  for (const char c : name) {
    if (c == ' ' || c == '-' || c == '_') continue;
    out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  return out;
}

}  // namespace

const std::vector<Material>& materials() {
  static const std::vector<Material> table{
      of("steel", 11.5, 1.0, {"gauge steel", "hardened steel", "tool steel"}),
      of("stainless steel", 16.5, 1.5, {"stainless", "austenitic stainless steel"}),
      of("martensitic stainless steel", 10.3, 0.7, {"hardened stainless steel"}),
      of("cast iron", 10.5, 1.0),
      of("aluminium", 23.5, 1.0, {"aluminum", "al"}),
      of("titanium", 8.8, 0.6),
      of("brass", 19.0, 1.5),
      of("carbon fibre", 0.0, 1.5, {"carbon fiber", "cfrp", "carbon"}),
      of("zirconia", 10.5, 0.7, {"ZrO2", "zirconium oxide", "zirconia ceramic"}),
      of("alumina", 6.5, 1.2, {"Al2O3", "aluminium oxide", "aluminum oxide", "ruby"}),
      of("silicon nitride", 2.8, 0.8, {"SiN", "Si3N4"}),
      of("ceramic", 8.0, 3.5),
      of("glass ceramic", 0.0, 0.15, {"zero-expansion glass ceramic"}),
      of("fused silica", 0.5, 0.1, {"quartz glass"}),
      of("borosilicate glass", 3.3, 0.2),
      of("glass", 8.7, 0.8, {"float glass", "soda-lime glass"}),
      of("invar", 1.5, 0.8, {"Fe-36Ni", "nickel iron"}),
      of("granite", 6.5, 2.0),
      of("tungsten carbide", 5.2, 0.8, {"WC", "hard metal", "cemented carbide", "carbide"}),
  };
  return table;
}

const Material* find_material(std::string_view name) {
  const std::string wanted = plain(name);
  for (const Material& m : materials())
    if (plain(m.name) == wanted ||
        std::ranges::any_of(m.also, [&](const std::string& a) { return plain(a) == wanted; }))
      return &m;
  return nullptr;
}

std::vector<std::string> material_names() {
  std::vector<std::string> out;
  for (const Material& m : materials()) out.push_back(m.name);
  return out;
}

}  // namespace rigproof
