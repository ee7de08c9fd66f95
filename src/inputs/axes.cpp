#include <array>
#include <map>

#include <Eigen/LU>

#include "base/error.h"
#include "base/input_file.h"
#include "inputs/near_name.h"
#include "inputs/rig.h"

namespace rigproof {
namespace {

const std::map<std::string, Vec3>& directions() {
  // Sensor frame: +X right, +Y down, +Z away from the rig.
  static const std::map<std::string, Vec3> table{{"right", Vec3::UnitX()},
                                                 {"left", -Vec3::UnitX()},
                                                 {"down", Vec3::UnitY()},
                                                 {"up", -Vec3::UnitY()},
                                                 {"away", Vec3::UnitZ()},
                                                 {"towards", -Vec3::UnitZ()},
                                                 {"toward", -Vec3::UnitZ()}};
  return table;
}

std::vector<std::string> split(const std::string& words) {
  std::vector<std::string> out;
  bool open = false;
  for (const char c : words) {
    const bool gap = c == ' ' || c == ',' || c == '\t';
    if (!gap && !open) out.emplace_back();
    if (!gap) out.back() += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    open = !gap;
  }
  return out;
}

constexpr char kHow[] =
    "Say for x, y and z of the exported coordinates where they point, seen from behind the rig: "
    "right or left, up or down, away or towards, e.g. \"right up towards\".";

}  // namespace

Mat3 axes_to_sensor(const std::string& words) {
  const std::vector<std::string> names = split(words);
  if (names.size() != 3)
    throw Error(
        ErrorKind::config, "axes \"" + display(words) + "\": there must be three words", kHow);
  Mat3 rotation;
  for (int i = 0; i < 3; ++i) {
    const auto it = directions().find(names[i]);
    if (it == directions().end()) {
      const std::string near =
          near_name(names[i], {"right", "left", "down", "up", "away", "towards"});
      throw Error(ErrorKind::config,
                  "axes \"" + display(words) + "\": unknown word \"" + display(names[i]) + "\"",
                  (near.empty() ? "" : "Did you mean \"" + near + "\"? ") + std::string(kHow));
    }
    rotation.col(i) = it->second;
  }
  const double det = rotation.determinant();
  if (det == 0)
    throw Error(ErrorKind::config,
                "axes \"" + display(words) + "\": two axes point along the same line",
                kHow);
  if (det < 0)
    throw Error(
        ErrorKind::config,
        "axes \"" + display(words) +
            "\": these are left-handed, a mirror image of the sensor frame. Lengths, balls "
            "and plates look right in a mirror, so a verdict could not tell; left and right "
            "of every position would be swapped",
        "Look again where x, y and z point (turn your right hand: thumb x, forefinger y, "
        "middle finger z). If the export really is mirrored, set it right in the scanning "
        "software.");
  return rotation;
}

}  // namespace rigproof
