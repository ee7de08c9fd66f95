#include "judge/artefact_match.h"

#include <algorithm>
#include <cmath>

#include "base/number.h"

namespace rigproof {
namespace {

constexpr double kTimesUfit = 10;  // 0.2 mm must be found
constexpr double kNearer = 0.5;
constexpr double kOtherBall = 0.02;  // of the diameter: what recognising tells sizes by

/// What one artefact would be told by: distances of a bar, the diameter of a ball. mm
std::vector<double> sizes(const Artefact& a) {
  std::vector<double> out;
  for (const ArtefactDistance& d : a.distances) out.push_back(d.length.mm);
  if (a.kind == ArtefactKind::ball && !a.balls.empty()) out.push_back(a.balls[0].diameter.mm);
  return out;
}

std::string mm(double value) { return fixed(value, 3) + " mm"; }

}  // namespace

std::optional<Finding> wrong_artefact(const Artefact& named,
                                      const std::vector<TestValue>& values,
                                      const std::vector<Artefact>& registered,
                                      const std::string& scan) {
  const char* id = named.kind == ArtefactKind::ball ? "probing_size" : "sphere_spacing";
  std::vector<const TestValue*> told;
  for (const TestValue& v : values)
    if (v.id == id && v.artefact == named.serial) told.push_back(&v);
  const std::vector<double> nominal = sizes(named);
  if (told.size() != nominal.size() || told.empty()) return std::nullopt;
  double off = 0;
  bool certain = false;
  for (const TestValue* v : told) {
    off = std::max(off, std::abs(v->value));
    certain = certain || std::abs(v->value) > kTimesUfit * v->u_fit;
  }
  if (!certain) return std::nullopt;
  for (const Artefact& other : registered) {
    const std::vector<double> size = sizes(other);
    if (&other == &named || other.kind != named.kind || size.size() != nominal.size()) continue;
    double other_off = 0;
    for (std::size_t i = 0; i < size.size(); ++i)
      other_off = std::max(other_off, std::abs(told[i]->value + nominal[i] - size[i]));
    if (other_off < kNearer * off)
      return make_finding("wrong-artefact",
                          {{"typed", named.serial},
                           {"expected", mm(nominal[0])},
                           {"measured", mm(told[0]->measured)},
                           {"match", "fits " + other.serial + " (" + mm(size[0]) + ")"}},
                          scan);
  }
  return std::nullopt;
}

std::optional<Finding> wrong_ball(const Artefact& bar,
                                  const std::vector<TestValue>& values,
                                  const std::string& scan) {
  if (bar.kind != ArtefactKind::bar) return std::nullopt;
  double scale = 1;  // a rig that is off in all lengths alike shows right balls at that scale
  for (const TestValue& v : values)
    if (v.id == "sphere_spacing" && v.artefact == bar.serial) scale = v.measured / v.reference;
  for (const TestValue& v : values) {
    if (v.id != "probing_size" || v.artefact != bar.serial) continue;
    const double off = std::abs(v.measured - scale * v.reference);
    if (off <= kOtherBall * v.reference || std::abs(v.value) <= kOtherBall * v.reference ||
        off <= kTimesUfit * v.u_fit)
      continue;
    return make_finding("wrong-artefact",
                        {{"typed", "Ball " + v.ball + " of " + bar.serial},
                         {"expected", mm(v.reference)},
                         {"measured", mm(v.measured)},
                         {"match", "the lengths of " + bar.serial + " are right"}},
                        scan);
  }
  return std::nullopt;
}

}  // namespace rigproof
