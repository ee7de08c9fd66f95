#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "inputs/artefact.h"

namespace rigproof {

/// One test quantity as it is named on every page.
struct Characteristic {
  std::string_view id;      ///< "sphere_spacing"
  std::string_view symbol;  ///< "SD"
  std::string_view name;    ///< "sphere spacing error"
  std::string_view group;   ///< word of the headline: "spacing"
  ArtefactKind kind;        ///< artefact that it is measured on
  bool signed_value;        ///< false: a range
  std::string_view definition;
  std::string_view source;  ///< with its confidence mark; docs/method.md tells what they mean
};

/// In the order in which they are printed.
const std::vector<Characteristic>& characteristics();
/// nullptr for an unknown id.
const Characteristic* find_characteristic(std::string_view id);

}  // namespace rigproof
