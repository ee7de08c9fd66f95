#include "app/explained_evidence.h"

#include <algorithm>
#include <cmath>
#include <regex>
#include <sstream>
#include <vector>

#include <gtest/gtest.h>

#include "contact_widths.h"

namespace rigproof {
namespace {

using contacts::Vec3;

// Numbers are printed to 1e-7 mm; a width hangs on a handful of them, with weights of sum one.
constexpr double kPrinted = 3e-7;

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

double last_number(const std::string& line) {
  return std::stod(line.substr(line.rfind(" = ") + 3));
}

// "low1 = sqrt((1.0-(-2.0))^2+…": the point is the first number of each bracket.
Vec3 point_of(const std::string& line) {
  static const std::regex first(R"(\((-?[0-9.]+)-)");
  Vec3 p = Vec3::Constant(NAN);
  auto it = std::sregex_iterator(line.begin(), line.end(), first);
  for (int k = 0; k < 3 && it != std::sregex_iterator(); ++k, ++it) p[k] = std::stod((*it)[1]);
  return p;
}

// One block from its title "…: 100 of 105 points held" to the equation of its width.
struct Block {
  std::size_t held = 0, points = 0;
  std::string share;
  std::vector<Vec3> low, high;
  bool sphere = true;
  double width = NAN;
};

Block block_from(const std::vector<std::string>& lines, std::size_t at) {
  static const std::regex title(R"(: (\d+) of (\d+) points held)");
  std::smatch found;
  Block b;
  std::regex_search(lines[at], found, title);
  b.held = std::stoul(found[1]);
  b.points = std::stoul(found[2]);
  for (std::size_t i = at + 1; i < lines.size(); ++i) {
    const std::string& line = lines[i];
    if (line.starts_with("  low")) b.low.push_back(point_of(line));
    if (line.starts_with("  high")) b.high.push_back(point_of(line));
    if (line.find("point of the plane") != std::string::npos) b.sphere = false;
    if (line.find(", rounded up ") != std::string::npos) b.share = line;
    for (const char* name : {"measured", "minimum_zone", "concentric_shell", "free_shell"})
      if (line.starts_with("  " + std::string(name) + " = ")) {
        b.width = last_number(line);
        return b;
      }
  }
  return b;
}

void expect_share(const Block& b) {
  double share = 0;
  std::istringstream(b.share) >> share;
  EXPECT_EQ(b.held, static_cast<std::size_t>(std::ceil(share * b.points - 1e-9))) << b.share;
}

// Least squares by turns: the best centre and radius for the directions seen from the last centre,
// until they stay. Slower than Gauss–Newton and nothing like it.
std::pair<double, double> diameter_and_range(const std::vector<Vec3>& points) {
  const auto n = static_cast<double>(points.size());
  Vec3 mean = Vec3::Zero();
  for (const Vec3& p : points) mean += p / n;
  Vec3 c = mean;
  c.z() += 10;
  double r = 0;
  for (int round = 0; round < 200'000; ++round) {
    Vec3 direction = Vec3::Zero();
    r = 0;
    for (const Vec3& p : points) {
      direction += (p - c).normalized() / n;
      r += (p - c).norm() / n;
    }
    const Vec3 next = mean - r * direction;
    const double moved = (next - c).norm();
    c = next;
    if (moved < 1e-14) break;
  }
  double low = 1e300, high = -1e300;
  for (const Vec3& p : points) {
    low = std::min(low, (p - c).norm() - r);
    high = std::max(high, (p - c).norm() - r);
  }
  return {2 * r, high - low};
}

std::vector<Vec3> patch_means_of(const std::vector<std::string>& lines, std::size_t header) {
  std::vector<Vec3> means;
  for (std::size_t i = header + 1; i < lines.size(); ++i) {
    std::istringstream in(lines[i]);
    std::size_t number = 0, points = 0;
    Vec3 p;
    if (!(in >> number >> points >> p.x() >> p.y() >> p.z()) || number != means.size() + 1) break;
    EXPECT_GT(points, 0u);
    means.push_back(p);
  }
  return means;
}

}  // namespace

ComputedEvidence expect_evidence_computed_again(const std::string& text) {
  SCOPED_TRACE(text);
  ComputedEvidence seen;
  const std::vector<std::string> lines = lines_of(text);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (lines[i].find(" points held") != std::string::npos) {
      const Block b = block_from(lines, i);
      if (!b.share.empty()) {
        ++seen.shares;
        expect_share(b);
      } else {
        EXPECT_EQ(b.low.size() + b.high.size(), b.sphere ? 5u : 4u);
      }
      if (b.low.size() + b.high.size() == 5) {
        ++seen.shells;
        EXPECT_NEAR(contacts::width_of_shell(b.low, b.high), b.width, kPrinted);
      }
      if (b.low.size() + b.high.size() == 4) {
        ++seen.planes;
        EXPECT_NEAR(contacts::width_of_planes(b.low, b.high), b.width, kPrinted);
      }
    }
    if (lines[i].starts_with("  patch  points")) {
      ++seen.patches;
      const std::vector<Vec3> means = patch_means_of(lines, i);
      EXPECT_EQ(means.size(), 25u);
      const auto [diameter, range] = diameter_and_range(means);
      const bool size = text.find("measured = 2*") != std::string::npos;
      const auto measured = std::ranges::find_if(
          lines, [](const std::string& line) { return line.starts_with("  measured = "); });
      if (measured == lines.end()) {
        ADD_FAILURE() << "no measured value";
        continue;
      }
      EXPECT_NEAR(size ? diameter : range, last_number(*measured), 2 * kPrinted);
    }
  }
  return seen;
}

}  // namespace rigproof
