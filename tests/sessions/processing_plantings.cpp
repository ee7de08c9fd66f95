#include <cmath>
#include <fstream>

#include "sessions/magnitudes.h"
#include "sessions/planting.h"
#include "sessions/spoil.h"
#include "simulate/chance.h"

namespace rigproof::planted {

using enum Severity;

namespace {

// A share of the points of every scan, each at random, is not a number.
void lose_points(Session& s, double share) {
  const Chance chance(7);
  std::uint64_t i = 0;
  for (std::size_t scan = 0; scan < s.scans.size(); ++scan)
    change_points(s, scan, [&](const Vec3& p) -> std::optional<Vec3> {
      return chance.uniform(i++) < share ? Vec3::Constant(std::nan("")) : p;
    });
}

}  // namespace

std::vector<Planting> processing_plantings() {
  return {
      {.finding = "smoothed",
       .fault = "smoothed",
       .beside = {"outliers-above-allowance"},
       .detect_at = "3 × 3 points",
       .detect = [](const Scenario&) { return "smoothed=3"; }},
      {.finding = "smoothed",
       .severity = note,
       .how = "the same, and the rig has no reference",
       .fault = "smoothed",
       .session = [](Session& s, const Truth&) { s.rig.noise.reset(); },
       .beside = {"outliers-above-allowance"}},
      {.finding = "thinned",
       .fault = "thinned",
       .beside = {"*"},  // balls of so few points are no balls to judge by
       .detect_at = "2 times the point spacing",
       .detect = [](const Scenario& s) { return of_spacing(2, s); }},
      {.finding = "tails-cut",
       .fault = "tails-cut",
       .detect_at = "2 standard deviations",
       .detect = [](const Scenario&) { return "tails-cut"; }},
      {.finding = "too-perfect", .severity = stop, .fault = "perfect"},
      {.finding = "scaled", .severity = stop, .fault = "scaled", .beside = {"position-missing"}},
      {.finding = "unit-mismatch", .severity = stop, .fault = "inches", .beside = {"*"}},
      {.finding = "mirrored", .severity = stop, .fault = "mirrored", .beside = {"*"}},
      {.finding = "same-measurement",
       .severity = stop,
       .fault = "duplicate",
       .beside = {"position-missing", "place-relabelled"}},
      {.finding = "truncated",
       .severity = stop,
       .fault = "truncated",
       .beside = {"position-missing"}},
      {.finding = "unreadable",
       .severity = stop,
       .how = "one scan holds words",
       .session =
           [](Session& s, const Truth&) {
             std::ofstream(s.scans.at(1), std::ios::binary) << "ply\nformat of our own 1.0\n";
           },
       .beside = {"position-missing"}},
      {.finding = "surplus",
       .how = "the header of one scan declares half of its points",
       .session = [](Session& s, const Truth&) { declare_half(s, 1); },
       .beside = {"*"}},
      {.finding = "points-dropped",
       .fault = "nan",
       .detect_at = "5 % of the zone",
       .detect_by_hand = [](Session& s, const Truth&) { lose_points(s, 0.05); }},
      {.finding = "points-dropped",
       .severity = note,
       .how = "one point in a hundred is not a number",
       .session =
           [](Session& s, const Truth&) {
             change_points(s, 1, [n = 0](const Vec3& p) mutable -> std::optional<Vec3> {
               return ++n % 100 == 0 ? Vec3::Constant(std::nan("")) : p;
             });
           }},
      {.finding = "is-mesh", .fault = "mesh"},
      {.finding = "is-mesh",
       .severity = note,
       .how = "the same, declared",
       .fault = "mesh",
       .session = [](Session& s, const Truth&) { s.rig.export_kind = "mesh"; }},
      {.finding = "coarse-coordinates",
       .fault = "rounded",
       .detect_at = "0.1 T",
       .detect = [](const Scenario& s) { return of_limit("rounded", 0.1, "probing_form", s); }},
      {.finding = "duplicate-points",
       .how = "every 25th point twice in one scan",
       .session = [](Session& s, const Truth&) { repeat_points(s, 1, 25); }},
      {.finding = "duplicate-points",
       .severity = note,
       .how = "every 200th point twice in one scan",
       .session = [](Session& s, const Truth&) { repeat_points(s, 1, 200); }},
      {.finding = "far-origin",
       .severity = note,
       .how = "one scan moved by 60 m",
       .session =
           [](Session& s, const Truth&) {
             change_points(
                 s, 1, [](const Vec3& p) -> std::optional<Vec3> { return p + Vec3(60'000, 0, 0); });
           },
       .beside = {"*"}},
  };
}

}  // namespace rigproof::planted
