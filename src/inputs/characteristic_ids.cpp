#include "inputs/characteristic_ids.h"

namespace rigproof {

const std::vector<std::string>& characteristic_ids() {
  static const std::vector<std::string> ids{"sphere_spacing",
                                            "center_distance",
                                            "probing_form",
                                            "probing_size",
                                            "form_dispersion",
                                            "form_25",
                                            "size_all",
                                            "size_25",
                                            "flatness",
                                            "flat_distortion",
                                            "flatness_mz"};
  return ids;
}

bool is_length(std::string_view id) { return id == "sphere_spacing" || id == "center_distance"; }

}  // namespace rigproof
