// Contrast of the page's own colours, light, dark and printed, against WCAG 2.2 AA.
#include <cmath>
#include <map>
#include <regex>

#include <gtest/gtest.h>

#include "base/input_file.h"

namespace rigproof {
namespace {

using Palette = std::map<std::string, std::string>;

// WCAG 2.2, definitions "relative luminance" and "contrast ratio".
double luminance(const std::string& hex) {
  double sum = 0;
  const double weight[] = {0.2126, 0.7152, 0.0722};
  for (int i = 0; i < 3; ++i) {
    const std::string digits =
        hex.size() == 4 ? std::string(2, hex[1 + i]) : hex.substr(1 + 2 * i, 2);
    const double v = std::stoi(digits, nullptr, 16) / 255.0;
    sum += weight[i] * (v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4));
  }
  return sum;
}

double contrast(const std::string& a, const std::string& b) {
  const double la = luminance(a), lb = luminance(b);
  return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

// The variables that a block of the style sheet sets, on top of what stood before.
Palette palette(const std::string& style, const std::string& after, Palette base) {
  const std::size_t at = style.find(":root{", style.find(after));
  EXPECT_NE(at, std::string::npos) << after;
  const std::string block = style.substr(at, style.find('}', at) - at);
  const std::regex variable("--([a-z-]+):(#[0-9a-f]{3,6})");
  for (std::sregex_iterator it(block.begin(), block.end(), variable), end; it != end; ++it)
    base[(*it)[1]] = (*it)[2];
  return base;
}

std::map<std::string, Palette> palettes() {
  const std::string folder = RIGPROOF_SOURCE_DIR "/reports/styles/";
  const std::string page = read_text(folder + "page.css");
  const Palette light = palette(page, ":root{", {});
  return {{"light", light},
          {"dark", palette(page, "prefers-color-scheme:dark", light)},
          {"print", palette(read_text(folder + "report.css"), "@media print", light)},
          {"printed certificate",
           palette(read_text(folder + "certificate.css"), "@media print", light)}};
}

// The ends of the scale follow from the definition: (1 + 0.05) / (0 + 0.05).
TEST(Contrast, EndsOfTheScale) {
  EXPECT_DOUBLE_EQ(contrast("#fff", "#000000"), 21);
  EXPECT_DOUBLE_EQ(contrast("#1b2130", "#1b2130"), 1);
}

// Success criterion 1.4.3: text 4.5.
TEST(Contrast, Text) {
  for (auto& [name, p] : palettes()) {
    for (const char* ink : {"text", "quiet", "link", "mark", "second", "failed"})
      for (const char* ground : {"paper", "panel", "hover"})
        EXPECT_GE(contrast(p[ink], p[ground]), 4.5) << name << ": " << ink << " on " << ground;
    EXPECT_GE(contrast(p["text"], p["band"]), 4.5) << name;
    for (const char* verdict : {"within", "outside", "undecided", "invalid"})
      EXPECT_GE(contrast(p["on-verdict"], p[verdict]), 4.5) << name << ": " << verdict;
  }
}

// Success criterion 1.4.11: what a picture or a control needs to be understood, 3.
TEST(Contrast, GraphicsAndFocus) {
  for (auto& [name, p] : palettes())
    for (const char* ink : {"axis", "mark", "second", "limit", "failed", "focus"})
      for (const char* ground : {"paper", "panel"})
        EXPECT_GE(contrast(p[ink], p[ground]), 3) << name << ": " << ink << " on " << ground;
}

}  // namespace
}  // namespace rigproof
