#include "report/color_scale.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace rigproof {
namespace {

double encoded(double linear) {
  const double v = std::clamp(linear, 0.0, 1.0);
  return v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1 / 2.4) - 0.055;
}

double decoded(double encoded_value) {
  return encoded_value <= 0.04045 ? encoded_value / 12.92
                                  : std::pow((encoded_value + 0.055) / 1.055, 2.4);
}

// Oklab to sRGB (Ottosson 2020, "A perceptual color space for image processing").
Rgb oklch(double lightness, double chroma, double hue_deg) {
  const double hue = hue_deg * std::numbers::pi / 180;
  const double a = chroma * std::cos(hue), b = chroma * std::sin(hue);
  const auto cubed = [](double v) { return v * v * v; };
  const double l = cubed(lightness + 0.3963377774 * a + 0.2158037573 * b);
  const double m = cubed(lightness - 0.1055613458 * a - 0.0638541728 * b);
  const double s = cubed(lightness - 0.0894841775 * a - 1.2914855480 * b);
  const auto byte = [](double linear) {
    return static_cast<std::uint8_t>(std::lround(255 * encoded(linear)));
  };
  return {byte(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
          byte(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
          byte(-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s)};
}

}  // namespace

Rgb signed_color(double share) {
  const double step = std::round(std::clamp(share, -1.0, 1.0) * kSignedSteps) / kSignedSteps;
  const double strength = std::abs(step);
  return oklch(0.95 - 0.45 * strength, 0.15 * strength, step < 0 ? 280 : 60);
}

Rgb magnitude_color(double share) {
  const double strength = std::clamp(share, 0.0, 1.0);
  return oklch(0.96 - 0.58 * strength, 0.02 + 0.11 * strength, 220 + 60 * strength);
}

bool needs_light_text(Rgb g) {
  const double luminance =
      0.2126 * decoded(g.r / 255.0) + 0.7152 * decoded(g.g / 255.0) + 0.0722 * decoded(g.b / 255.0);
  return 1.05 / (luminance + 0.05) > (luminance + 0.05) / 0.05;
}

}  // namespace rigproof
