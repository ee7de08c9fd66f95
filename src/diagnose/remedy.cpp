#include "diagnose/remedy.h"

#include <algorithm>

namespace rigproof {
namespace {

constexpr std::string_view kBoard =
    "Compare the pitch that was entered for the calibration board with its certificate, measure "
    "the board's temperature beside the rig, and calibrate again";
constexpr std::string_view kFocus =
    "Check that focus and zoom are locked, then calibrate again with the board near and far";
constexpr std::string_view kMount =
    "Tighten the mounts of both cameras, then calibrate again with the board tilted by 30° to the "
    "left and to the right";
constexpr std::string_view kTurn =
    "Tighten the mounts of both cameras, then calibrate again with the board tilted by 30° upwards "
    "and downwards and once turned by 90° in its plane";
constexpr std::string_view kLens =
    "Check that lens and sensor sit tight in their seats, then calibrate again with the board near "
    "and far, turned by 90° and 180° in its plane";
constexpr std::string_view kRim =
    "Calibrate again with the board brought into the corners of the image, tilted by 30°";
constexpr std::string_view kZone =
    "Calibrate again with the board shown more often where the dent lies, tilted by 30° to all "
    "four sides";
constexpr std::string_view kWait =
    "Wait until the rig is warm (half an hour to an hour is common practice), then repeat the test";

}  // namespace

const std::vector<Remedy>& remedies() {
  using enum BoardPlaces;
  static const std::vector<Remedy> table{
      {"board-pitch",
       "the board's squares are smaller than believed",
       "the board's squares are larger than believed",
       kBoard},
      {"board-temperature",
       "the board was warmer than believed",
       "the board was colder than believed",
       kBoard},
      {"baseline",
       "the cameras stand nearer together than believed",
       "the cameras stand farther apart than believed",
       kBoard},
      {"focal-both",
       "both focal lengths are shorter than believed",
       "both focal lengths are longer than believed",
       kFocus,
       near_and_far},
      {"focal-left",
       "the left focal length is shorter than believed",
       "the left focal length is longer than believed",
       kFocus,
       near_and_far},
      {"focal-right",
       "the right focal length is shorter than believed",
       "the right focal length is longer than believed",
       kFocus,
       near_and_far},
      {"principal-x-left",
       "the left principal point is believed too far right",
       "the left principal point is believed too far left",
       kLens,
       near_and_far},
      {"principal-x-right",
       "the right principal point is believed too far right",
       "the right principal point is believed too far left",
       kLens,
       near_and_far},
      {"principal-y-right",
       "the right principal point is believed too high",
       "the right principal point is believed too low",
       kLens,
       near_and_far},
      {"toe-in",
       "the right camera is toed in more than believed",
       "the right camera is toed in less than believed",
       kMount,
       near_and_far},
      {"pitch",
       "the right camera looks higher than believed",
       "the right camera looks lower than believed",
       kTurn,
       corners},
      {"roll",
       "the right camera is rolled about its axis against the belief",
       "the right camera is rolled about its axis the other way against the belief",
       kTurn,
       corners},
      {"radial-both",
       "both lenses are undistorted outwards at the corner",
       "both lenses are undistorted inwards at the corner",
       kRim,
       corners},
      {"radial-left",
       "the left lens is undistorted outwards at the corner",
       "the left lens is undistorted inwards at the corner",
       kRim,
       corners},
      {"radial-right",
       "the right lens is undistorted outwards at the corner",
       "the right lens is undistorted inwards at the corner",
       kRim,
       corners},
      {"local", "a dent away from the rig", "a dent towards the rig", kZone, zone},
      {"warm-up",
       "lengths grew from the first scan to the last",
       "lengths shrank from the first scan to the last",
       kWait},
      {"scale", "everything is measured too large", "everything is measured too small", kBoard},
      {"depth-scale",
       "depth is measured too large",
       "depth is measured too small",
       kFocus,
       near_and_far},
      {"width-scale",
       "widths are measured too large",
       "widths are measured too small",
       kMount,
       near_and_far},
      {"shear-xz", "the far end leans to the right", "the far end leans to the left", kMount},
      {"shear-yz", "the far end leans down", "the far end leans up", kTurn},
      {"shear-xy", "the lower end leans to the right", "the lower end leans to the left", kTurn},
      {"bow-x",
       "left and right rims bend away from the rig",
       "left and right rims bend towards the rig",
       kRim,
       corners},
      {"bow-y",
       "upper and lower rims bend away from the rig",
       "upper and lower rims bend towards the rig",
       kRim,
       corners},
      {"twist",
       "planes are twisted with the lower right away from the rig",
       "planes are twisted with the lower right towards the rig",
       kRim,
       corners},
  };
  return table;
}

const Remedy* find_remedy(std::string_view fault) {
  const auto at = std::ranges::find(remedies(), fault, &Remedy::fault);
  return at == remedies().end() ? nullptr : &*at;
}

const std::vector<Spoiler>& spoilers() {
  static const std::vector<Spoiler> table{
      {"warm-up", true, kWait},
      {"not-soaked", true, "Leave the artefacts beside the rig until they are soaked, then repeat"},
      {"vibration", true, "Find what moved (table, stand, floor, a fan) and repeat the scan"},
      {"two-shells", true, "Keep rig and artefact still between exposures and repeat the scan"},
      {"noise-uneven", false, "Refocus both cameras and the projector on the middle of the volume"},
      {"hole", false, "Shorten the exposure or dull the artefact"},
      {"surface-bias",
       false,
       "Shorten the exposure or dull the artefact: its surface biases sizes"},
      {"outliers-above-allowance",
       false,
       "Shorten the exposure, shade the room's light, clean the lenses"},
      {"ripple", false, "Shorten the exposure and check the projector's brightness"},
      {"smoothed",
       true,
       "Export without filters and repeat the test: smoothing draws balls inwards"},
      {"thinned", false, "Export every point: fewer points say less about form"},
      {"tails-cut", false, "Export without removing outliers: cut tails hide what form would tell"},
  };
  return table;
}

}  // namespace rigproof
