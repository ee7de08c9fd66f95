#pragma once

#include "evaluate/values.h"

namespace rigproof {

/// The rule of a characteristic that the procedure evaluates; nullptr otherwise.
const CharacteristicRule* rule_of(const ValueContext& context, const std::string& id);

/// A value with everything that comes from the context; zone and, where none is planned, place from
/// `center`.
TestValue start_value(const std::string& id,
                      const Artefact& artefact,
                      const ValueContext& context,
                      const Vec3& center);

/// Temperature of the context, 20 ± 5 °C without an environment.
ArtefactTemperature temperature_of(const ValueContext& context);

}  // namespace rigproof
