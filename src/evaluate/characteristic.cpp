#include "evaluate/characteristic.h"

#include <algorithm>

namespace rigproof {

const std::vector<Characteristic>& characteristics() {
  using enum ArtefactKind;
  static const std::vector<Characteristic> table{
      {"sphere_spacing", "SD", "sphere spacing error", "spacing", bar, true},
      {"center_distance", "D_CC", "centre distance error", "spacing", bar, true},
      {"probing_form", "PF", "probing error, form", "probing", ball, false},
      {"probing_size", "PS", "probing error, size", "probing", ball, true},
      {"form_dispersion", "P_Form.Sph.D95%", "form dispersion", "probing", ball, false},
      {"form_25", "P_Form.Sph.1x25", "form error of 25 points", "probing", ball, false},
      {"size_all", "P_Size.Sph.All", "size error, all points", "probing", ball, true},
      {"size_25", "P_Size.Sph.1x25", "size error of 25 points", "probing", ball, true},
      {"flatness", "F", "flatness error", "flatness", plate, false},
      {"flat_distortion", "D_Form.Pla.D95%", "flat form distortion", "flatness", plate, false},
      {"flatness_mz", "FLTt (MZPL)", "minimum-zone flatness", "flatness", plate, false},
  };
  return table;
}

const Characteristic* find_characteristic(std::string_view id) {
  const auto it = std::ranges::find(characteristics(), id, &Characteristic::id);
  return it == characteristics().end() ? nullptr : &*it;
}

}  // namespace rigproof
