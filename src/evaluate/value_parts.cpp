#include "evaluate/value_parts.h"

namespace rigproof {

const CharacteristicRule* rule_of(const ValueContext& context, const std::string& id) {
  if (!context.procedure) return nullptr;
  const auto it = context.procedure->characteristics.find(id);
  return it == context.procedure->characteristics.end() ? nullptr : &it->second;
}

TestValue start_value(const std::string& id,
                      const Artefact& artefact,
                      const ValueContext& context,
                      const Vec3& center) {
  TestValue v;
  v.id = id;
  v.scan = context.scan;
  v.artefact = artefact.serial;
  v.center = center;
  if (context.field) v.zone = zone_id(context.field->volume, center);
  v.place = context.place.empty() ? v.zone : context.place;
  return v;
}

ArtefactTemperature temperature_of(const ValueContext& context) {
  return artefact_temperature(context.environment ? *context.environment : Environment());
}

}  // namespace rigproof
