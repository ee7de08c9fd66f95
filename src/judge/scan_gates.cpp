#include "judge/scan_gates.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "base/number.h"
#include "evaluate/cap.h"
#include "evaluate/characteristic.h"

namespace rigproof {
namespace {

constexpr double kDroppedShare = 0.05;     // of the zone
constexpr double kOutside = 0.5;           // mm; one millimetre must be found
constexpr double kGiant = 2;               // times the nominal radius
constexpr double kGiantOfDiagonal = 0.25;  // radius over the volume's diagonal
constexpr double kGiantAlone = 500;        // mm, nothing known
constexpr double kStripShare = 0.8;        // of the nominal working area
constexpr double kRigid = 1e-6;            // scale this near to 1 is rounding
constexpr double kFar = 30;                // distance from the origin over the size of the scan
constexpr int kRim = 24;

std::string mm(double value) { return fixed(value, 3) + " mm"; }
std::string degrees(double value) { return fixed(value, 0); }
std::string ball_named(const std::string& id) { return id.empty() ? "the ball" : "ball " + id; }

bool giant(const BallFeature& ball, const BallGate& gate) {
  const double r = ball.fit.sphere.radius;
  if (gate.nominal_mm > 0) return r > kGiant * gate.nominal_mm / 2;
  return r > (gate.volume ? kGiantOfDiagonal * gate.volume->diagonal() : kGiantAlone);
}

void add(std::vector<Finding>& to, const std::optional<Finding>& finding) {
  if (finding) to.push_back(*finding);
}

std::optional<Finding> few_points(const std::string& what,
                                  std::size_t n,
                                  std::size_t least,
                                  const std::string& scan) {
  if (n >= least) return std::nullopt;
  return make_finding("too-few-points",
                      {{"what", what}, {"n", std::to_string(n)}, {"least", std::to_string(least)}},
                      scan);
}

std::optional<Finding> short_cap(const BallFeature& ball,
                                 const BallGate& gate,
                                 const Procedure& p,
                                 const std::string& scan) {
  const double seen = std::min(ball.seen_half_angle_deg, ball.zone_half_angle_deg);
  if (seen >= p.warn_cap_deg) return std::nullopt;
  const double full = p.zones.cap_half_angle_deg;
  const bool lost = ball.seen_half_angle_deg - ball.zone_half_angle_deg > 5;
  return make_finding("short-cap",
                      {{"seen", degrees(seen)},
                       {"ball", ball_named(gate.ball)},
                       {"why",
                        lost ? "the rest of the seen surface is turned away from the cameras"
                             : "half-angle of a round cap of the same area"},
                       {"factor", fixed(cap_uncertainty_factor(seen, full), 1)},
                       {"full", degrees(full)}},
                      scan,
                      seen < p.min_cap_deg ? Severity::stop : Severity::warn);
}

std::optional<Finding> unsettled(bool settled,
                                 int rounds,
                                 const std::string& what,
                                 const std::string& scan) {
  if (settled) return std::nullopt;
  return make_finding("zone-unsettled", {{"what", what}, {"rounds", std::to_string(rounds)}}, scan);
}

std::optional<Finding> outside(double by, const std::string& what, const std::string& scan) {
  if (by <= kOutside) return std::nullopt;
  return make_finding("outside-volume", {{"what", what}, {"distance", fixed(by, 1) + " mm"}}, scan);
}

bool word_at(const std::string& text, std::size_t at, std::string_view word) {
  for (std::size_t k = 0; k < word.size(); ++k)
    if (at + k >= text.size() || std::tolower(static_cast<unsigned char>(text[at + k])) != word[k])
      return false;
  return true;
}

}  // namespace

std::string serial_in(const std::vector<std::string>& comments) {
  for (const std::string& comment : comments) {
    for (std::size_t i = 0; i < comment.size(); ++i) {
      if (!word_at(comment, i, "serial")) continue;
      std::size_t at = i + 6;
      const auto skip = [&](const char* set) {
        while (at < comment.size() && std::string_view(set).find(comment[at]) != std::string::npos)
          ++at;
      };
      skip(" _-");
      for (const char* more : {"number", "no.", "no"})
        if (word_at(comment, at, more)) {
          at += std::string_view(more).size();
          break;
        }
      skip(" \t:=\"'");
      const std::size_t end = comment.find_first_of(" \t\r\n,;\"'", at);
      const std::string serial = comment.substr(at, end == std::string::npos ? end : end - at);
      if (!serial.empty()) return serial;
    }
  }
  return "";
}

std::vector<Finding> file_findings(const ScanFacts& facts,
                                   const Rig& rig,
                                   const std::string& scan,
                                   std::optional<double> zone_dropped_share) {
  std::vector<Finding> out;
  if (facts.dropped > 0) {
    const double all = static_cast<double>(facts.points + facts.dropped);
    const bool many = zone_dropped_share && *zone_dropped_share > kDroppedShare;
    out.push_back(
        make_finding("points-dropped",
                     {{"n", std::to_string(facts.dropped)},
                      {"scan", scan},
                      {"percent", fixed(100 * static_cast<double>(facts.dropped) / all, 1)}},
                     scan,
                     many ? Severity::warn : Severity::note));
  }
  if (facts.trailing > 0) {
    const std::string unit = facts.scalar == ScalarType::text ? " line" : " byte";
    out.push_back(make_finding(
        "surplus",
        {{"scan", scan},
         {"surplus", std::to_string(facts.trailing) + unit + (facts.trailing > 1 ? "s" : "")}},
        scan));
  }
  if (std::abs(facts.transform_scale - 1) > kRigid)
    out.push_back(
        make_finding("scaled", {{"scan", scan}, {"scale", exact(facts.transform_scale)}}, scan));
  if (!facts.box.empty()) {
    const double distance = (0.5 * (facts.box.lo + facts.box.hi)).norm();
    const double size = (facts.box.hi - facts.box.lo).norm();
    if (distance > kFar * size)
      out.push_back(make_finding(
          "far-origin",
          {{"distance", fixed(distance / 1000, 1) + " m"}, {"size", fixed(size, 0) + " mm"}},
          scan));
  }
  const std::string serial = serial_in(facts.comments);
  if (!serial.empty() && !rig.serial.empty() && serial != rig.serial)
    out.push_back(
        make_finding("rig-mismatch", {{"found", serial}, {"expected", rig.serial}}, scan));
  return out;
}

std::vector<Finding> recognition_findings(const Recognition& recognition,
                                          const Sighting& sighting,
                                          const std::string& scan) {
  std::vector<Finding> out;
  const auto words = [](const std::vector<std::string>& list) {
    return fmt::format("{}", fmt::join(list, "; "));
  };
  if (recognition.ambiguous)
    out.push_back(
        make_finding("ambiguous",
                     {{"candidates", "More than one match: " + words(recognition.candidates) + "."},
                      {"scan", scan}},
                     scan));
  for (const Recognised& r : recognition.found)
    if (r.swapped) out.push_back(make_finding("balls-swapped", {{"id", r.artefact->serial}}, scan));
  if (!recognition.found.empty() || recognition.ambiguous) return out;

  if (recognition.one_ball) {
    const std::string seen = sighting.balls.empty()
                                 ? std::string("one ball")
                                 : "Ø " + mm(2 * sighting.balls.front().sphere.radius);
    out.push_back(make_finding("one-ball", {{"id", "the bar"}, {"found", seen}}, scan));
    return out;
  }
  std::vector<std::string> seen;
  for (const BallSighting& b : sighting.balls) seen.push_back("ball Ø " + mm(2 * b.sphere.radius));
  for (const PlateSighting& p : sighting.plates)
    seen.push_back(fmt::format("flat surface {:.0f} × {:.0f} mm", p.length_mm, p.width_mm));
  seen.insert(seen.end(), sighting.near_misses.begin(), sighting.near_misses.end());
  seen.insert(seen.end(), recognition.candidates.begin(), recognition.candidates.end());
  out.push_back(make_finding("nothing-found",
                             {{"found",
                               seen.empty() ? "Nothing round or flat was seen at all."
                                            : "What was seen: " + words(seen) + "."}},
                             scan));
  return out;
}

Finding fit_failed(const std::string& what, FitStop stop, const std::string& scan) {
  return make_finding(
      "fit-failed", {{"what", what}, {"why", to_string(stop)}, {"scan", scan}}, scan);
}

std::vector<Finding> ball_findings(const BallFeature& ball,
                                   const BallGate& gate,
                                   const Procedure& p,
                                   const std::string& scan) {
  std::vector<Finding> out;
  const std::string what = ball_named(gate.ball);
  add(out, few_points(what, ball.points, p.min_points_ball, scan));
  if (!ball.fit.ok()) {
    if (out.empty()) out.push_back(fit_failed(what, ball.fit.stop, scan));
    return out;
  }
  const auto unit =
      unit_mismatch(what, 2 * ball.fit.sphere.radius, gate.nominal_mm, gate.unit_mm, scan);
  add(out, unit);
  if (!unit && giant(ball, gate))
    out.push_back(make_finding("giant-sphere", {{"radius", mm(ball.fit.sphere.radius)}}, scan));
  add(out, short_cap(ball, gate, p, scan));
  add(out, unsettled(ball.settled, ball.rounds, what, scan));
  if (gate.volume)
    add(out, outside(outside_by(ball, p.zones.cap_half_angle_deg, *gate.volume), what, scan));
  return out;
}

std::vector<Finding> plate_findings(const PlateFeature& plate,
                                    const Artefact& artefact,
                                    const Volume* volume,
                                    const Procedure& p,
                                    const std::string& scan) {
  std::vector<Finding> out;
  const std::string what = "plate " + artefact.serial;
  add(out, few_points(what, plate.points, p.min_points_plate, scan));
  if (!plate.fit.ok()) {
    if (out.empty()) out.push_back(fit_failed(what, plate.fit.stop, scan));
    return out;
  }
  const double length = artefact.length_mm - 2 * artefact.border_mm;
  const double width = artefact.width_mm - 2 * artefact.border_mm;
  if (length > 0 && width > 0 && plate.area_mm2 < kStripShare * length * width)
    out.push_back(make_finding("strip-plate",
                               {{"length", fixed(plate.length_mm, 0)},
                                {"width", fixed(plate.width_mm, 0) + " mm"},
                                {"id", artefact.serial}},
                               scan));
  add(out, unsettled(plate.settled, plate.rounds, what, scan));
  if (volume) add(out, outside(outside_by(plate, *volume), what, scan));
  return out;
}

std::optional<Finding> repeatability_finding(
    const TestValue& value, double limit, double seen_deg, const Procedure& p, Severity severity) {
  if (!(limit > 0) || value.u_fit <= p.max_ufit_share * limit) return std::nullopt;
  const double full = p.zones.cap_half_angle_deg;
  if (seen_deg > 0 && seen_deg < full - 5)
    return make_finding(
        "short-cap",
        {{"seen", degrees(seen_deg)},
         {"ball",
          value.pair.first.empty() ? ball_named(value.ball)
                                   : "ball " + value.pair.first + " or " + value.pair.second},
         {"why", "repeatability " + micrometres(value.u_fit)},
         {"factor", fixed(cap_uncertainty_factor(seen_deg, full), 1)},
         {"full", degrees(full)}},
        value.scan,
        severity);
  const Characteristic* c = find_characteristic(value.id);
  return make_finding("fit-uncertain",
                      {{"characteristic", c ? std::string(c->name) : value.id},
                       {"place", value.place.empty() ? "this place" : value.place},
                       {"u_fit", micrometres(value.u_fit)},
                       {"share", fixed(100 * p.max_ufit_share, 0) + " %"},
                       {"limit", micrometres(limit)}},
                      value.scan,
                      severity);
}

double outside_by(const BallFeature& ball, double cap_half_angle_deg, const Volume& volume) {
  const Sphere& s = ball.fit.sphere;
  const auto [u, v] = across(ball.cap_axis);
  double worst = volume.outside_by(s.center + s.radius * ball.cap_axis);
  for (const double share : {0.5, 1.0}) {
    const double tilt = share * cap_half_angle_deg * std::numbers::pi / 180;
    for (int k = 0; k < kRim; ++k) {
      const double turn = 2 * std::numbers::pi * k / kRim;
      const Vec3 d = std::cos(tilt) * ball.cap_axis +
                     std::sin(tilt) * (std::cos(turn) * u + std::sin(turn) * v);
      worst = std::max(worst, volume.outside_by(s.center + s.radius * d));
    }
  }
  return worst;
}

double outside_by(const PlateFeature& plate, const Volume& volume) {
  double worst = 0;
  for (const double a : {-0.5, 0.5})
    for (const double b : {-0.5, 0.5})
      worst = std::max(worst,
                       volume.outside_by(plate.center + a * plate.length_mm * plate.located.axis_u +
                                         b * plate.width_mm * plate.located.axis_v));
  return worst;
}

double cap_uncertainty_factor(double seen_deg, double full_deg) {
  // √(S (q − m²)) of an image-sampled cap, S = sin²α.
  const auto information = [](double deg) {
    const double alpha = std::clamp(deg, 1.0, 90.0) * std::numbers::pi / 180;
    const double S = std::sin(alpha) * std::sin(alpha);
    const double m = 2.0 / 3 * (1 - std::pow(1 - S, 1.5)) / S, q = 1 - S / 2;
    return std::sqrt(S * (q - m * m));
  };
  return information(full_deg) / information(seen_deg);
}

}  // namespace rigproof
