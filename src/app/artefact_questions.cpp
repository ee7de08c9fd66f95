#include "app/artefact_questions.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/error.h"
#include "base/number.h"
#include "inputs/material.h"
#include "inputs/near_name.h"

namespace rigproof {
namespace {

constexpr double kLongest_mm = 100'000, kLargestBall_mm = 5'000, kMostForm_um = 10'000;
constexpr double kUShare = 0.1;  // a certificate above this is a slip of the unit

Calibrated calibrated(double mm, double U_um, double most_mm) {
  if (!(mm > 0 && mm <= most_mm))
    throw Error(ErrorKind::usage, exact(mm) + " mm is not a size", "The size comes first, in mm.");
  if (!(U_um >= 0 && U_um / 1000 <= kUShare * mm))
    throw Error(ErrorKind::usage,
                fmt::format("U of {} µm does not go with {} mm", exact(U_um), exact(mm)),
                "U is the expanded uncertainty of the certificate, in micrometres.");
  return {mm, U_um / 1000};
}

// ---- balls and distances of a bar

/// "30.0012/0.8/0.4": diameter mm, U µm and, where stated, form µm.
ArtefactBall ball_of(const std::string& id, const std::string& numbers) {
  const auto n = typed_numbers(numbers, 2, 3);
  const double form_um = n.size() > 2 ? n[2] : 0;
  if (form_um < 0 || form_um > kMostForm_um)
    throw Error(ErrorKind::usage, exact(form_um) + " µm is not a form error", "Give micrometres.");
  return {id, calibrated(n[0], n[1], kLargestBall_mm), form_um / 1000};
}

ArtefactDistance distance_of(const std::string& from,
                             const std::string& to,
                             const std::string& numbers) {
  const auto n = typed_numbers(numbers, 2, 2);
  return {from, to, calibrated(n[0], n[1], kLongest_mm)};
}

std::pair<std::string, std::string> name_and_numbers(const std::string& text, const char* example) {
  const auto equals = text.find('=');
  if (equals == std::string::npos || equals == 0)
    throw Error(
        ErrorKind::usage, "\"" + text + "\" names nothing", "Write e.g. " + std::string(example));
  return {text.substr(0, equals), text.substr(equals + 1)};
}

bool has_ball(const Artefact& a, const std::string& id) {
  return std::ranges::find(a.balls, id, &ArtefactBall::id) != a.balls.end();
}

/// "A-B" with ids that may hold a dash themselves.
std::pair<std::string, std::string> pair_of(const std::string& ids, const Artefact& a) {
  for (auto dash = ids.find('-'); dash != std::string::npos; dash = ids.find('-', dash + 1))
    if (has_ball(a, ids.substr(0, dash)) && has_ball(a, ids.substr(dash + 1)))
      return {ids.substr(0, dash), ids.substr(dash + 1)};
  throw Error(ErrorKind::usage,
              "\"" + ids + "\" is not a pair of balls",
              "Name two of the balls with a dash between them, e.g. A-B.");
}

void given_balls(const AddOptions& o, Artefact& a) {
  for (const std::string& text : o.balls) {
    const auto [id, numbers] = name_and_numbers(text, "--ball A=30.0012/0.8/0.4");
    check_label(id);
    a.balls.push_back(ball_of(id, numbers));
  }
}

void given_distances(const AddOptions& o, Artefact& a) {
  for (const std::string& text : o.distances) {
    const auto [ids, numbers] = name_and_numbers(text, "--distance A-B=250.0123/1.1");
    const auto [from, to] = pair_of(ids, a);
    a.distances.push_back(distance_of(from, to, numbers));
  }
}

std::string id_of(int i) {
  return i < 26 ? std::string(1, static_cast<char>('A' + i)) : "B" + std::to_string(i + 1);
}

void ask_balls(Questions& q, Artefact& a) {
  const double count =
      q.number({"--ball", "How many balls does it have", "2"}, std::nullopt, {2, 200, ""});
  for (int i = 0; i < std::lround(count); ++i) {
    const std::string id = id_of(i);
    ArtefactBall ball;
    q.text({"--ball", "Ball " + id + ": diameter mm, U µm, form µm, e.g. 30.0012 0.8 0.4", {}},
           std::nullopt,
           [&](const std::string& t) { ball = ball_of(id, t); });
    a.balls.push_back(ball);
  }
}

void ask_distances(Questions& q, Artefact& a) {
  for (std::size_t i = 0; i < a.balls.size(); ++i)
    for (std::size_t j = i + 1; j < a.balls.size(); ++j) {
      const std::string &from = a.balls[i].id, &to = a.balls[j].id;
      Question question{"--distance", fmt::format("Distance {}–{}: mm, U µm", from, to), {}};
      // Not every pair of a ball plate stands on its certificate, but one does.
      const bool last = i + 2 == a.balls.size();
      if (!last || !a.distances.empty()) question.standard = "";
      std::optional<ArtefactDistance> distance;
      q.text(question, std::nullopt, [&](const std::string& t) {
        distance.reset();
        if (!t.empty()) distance = distance_of(from, to, t);
      });
      if (distance) a.distances.push_back(*distance);
    }
}

/// Lists have no single answer, so a missing one is said here.
void require(bool there, const char* option, const char* words) {
  if (!there)
    throw Error(ErrorKind::usage,
                fmt::format("{} is missing: {}", option, words),
                "Give it as an option, or run the command in a terminal and be asked.");
}

void bar_sizes(const AddOptions& o, Questions& q, Artefact& a) {
  given_balls(o, a);
  if (o.balls.empty() && q.asking()) ask_balls(q, a);
  require(!a.balls.empty(), "--ball", "each ball as ID=MM/U_UM/FORM_UM");
  given_distances(o, a);
  if (o.distances.empty() && q.asking()) ask_distances(q, a);
  require(!a.distances.empty(), "--distance", "each calibrated distance as A-B=MM/U_UM");
}

// ---- ball and plate

void ball_sizes(const AddOptions& o, Questions& q, Artefact& a) {
  const double mm = q.number({"--diameter", "Calibrated diameter, mm", {}},
                             o["--diameter"],
                             Range::positive(kLargestBall_mm, "mm"));
  const double U_um = q.number({"--U", "Its expanded uncertainty U, µm", {}},
                               o["--U"],
                               Range::from_zero(1e3 * kUShare * mm, "µm"));
  const double form_um = q.number({"--form", "Calibrated form error, µm (0: not stated)", "0"},
                                  o["--form"],
                                  Range::from_zero(kMostForm_um, "µm"));
  a.balls = {{"A", calibrated(mm, U_um, kLargestBall_mm), form_um / 1000}};
}

void plate_sizes(const AddOptions& o, Questions& q, Artefact& a) {
  const auto size = typed_size(q.text({"--size", "Length x width, mm, e.g. 200x140", {}},
                                      o["--size"],
                                      [](const std::string& t) { typed_size(t, 2); }),
                               2);
  a.length_mm = std::max(size[0], size[1]);
  a.width_mm = std::min(size[0], size[1]);
  a.border_mm = q.number({"--border", "Border that is not evaluated, mm", "3", true},
                         o["--border"],
                         Range::from_zero(kLongest_mm, "mm"));
  const Range um = Range::from_zero(kMostForm_um, "µm");
  a.flatness.mm =
      q.number({"--flatness", "Calibrated flatness, µm", {}}, o["--flatness"], um) / 1000;
  a.flatness.U_mm = q.number({"--U", "Its expanded uncertainty U, µm", {}}, o["--U"], um) / 1000;
}

// ---- what all kinds share

void material(const AddOptions& o, Questions& q, Artefact& a) {
  a.material = q.text({"--material", "Material", "steel"}, o["--material"], check_label);
  const Material* known = find_material(a.material);
  a.alpha_from_table = known && !o["--alpha"];
  if (known) {
    a.alpha_per_K = known->alpha_per_K;
    a.u_alpha_per_K = known->u_alpha_per_K;
  }
  const Range alpha{-10, 200, "ppm/K"}, u{0, 100, "ppm/K"};
  if (!known || o["--alpha"])
    a.alpha_per_K = q.number({"--alpha",
                              "Thermal expansion of \"" + a.material + "\", ppm/K (known are " +
                                  listed(material_names(), 30) + ")",
                              {}},
                             o["--alpha"],
                             alpha) /
                    1e6;
  if (!known || o["--u-alpha"])
    a.u_alpha_per_K =
        q.number({"--u-alpha", "Standard uncertainty of that, ppm/K", {}}, o["--u-alpha"], u) / 1e6;
}

void certificate(const AddOptions& o, Questions& q, Artefact& a) {
  a.certificate = q.text({"--certificate", "Number of the certificate", ""}, o["--certificate"]);
  a.laboratory = q.text({"--laboratory", "Calibrated by", ""}, o["--laboratory"]);
  a.date = q.maybe_date({"--date", "Calibrated on, YYYY-MM-DD", ""}, o["--date"]);
  Question due{"--due", "Due again on, YYYY-MM-DD", ""};
  a.due = q.maybe_date(due, o["--due"]);
  a.k = q.number({"--k", "Coverage factor k of the uncertainties", "2"}, o["--k"], {1, 10, ""});
  a.reference_C = q.number(
      {"--reference", "Reference temperature, °C", "20"}, o["--reference"], {-50, 100, "°C"});
  a.drift_mm_per_year = q.number({"--drift", "Drift, µm per year", "0", true},
                                 o["--drift"],
                                 Range::from_zero(10'000, "µm per year")) /
                        1000;
  a.support = q.text({"--support", "How it is held", "", true}, o["--support"]);
  a.surface = q.text({"--surface", "Surface, e.g. matt", ""}, o["--surface"]);
  a.coating_mm = q.number({"--coating", "Thickness of a spray coating, µm", "0", true},
                          o["--coating"],
                          Range::from_zero(5'000, "µm")) /
                 1000;
}

}  // namespace

Artefact ask_artefact(ArtefactKind kind,
                      const AddOptions& o,
                      Questions& q,
                      const NameKnown& name_known) {
  Artefact a;
  a.kind = kind;
  a.serial = q.label({"--serial", "Serial number on the " + to_string(kind), {}}, o["--serial"]);
  a.name = plain_name(o["--name"] ? *o["--name"] : to_string(kind) + "-" + a.serial);
  name_known(a.name);
  material(o, q, a);
  if (kind == ArtefactKind::ball) ball_sizes(o, q, a);
  if (kind == ArtefactKind::bar) bar_sizes(o, q, a);
  if (kind == ArtefactKind::plate) plate_sizes(o, q, a);
  certificate(o, q, a);
  return a;
}

}  // namespace rigproof
