#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "base/error.h"
#include "base/number.h"
#include "inputs/material.h"
#include "inputs/near_name.h"
#include "inputs/session.h"
#include "inputs/toml_reader.h"
#include "inputs/toml_writer.h"

namespace rigproof {
namespace {

constexpr double kLongest_mm = 100'000;
constexpr double kLargestBall_mm = 5'000;
constexpr double kUShare = 0.1;  // a certificate above this is a slip of the unit

ArtefactKind kind_of(const std::string& word) {
  return word == "ball"  ? ArtefactKind::ball
         : word == "bar" ? ArtefactKind::bar
                         : ArtefactKind::plate;
}

double expanded_uncertainty(const TomlTable& t, double value_mm) {
  const double U = t.small_length("U", Range::from_zero(1e6, "µm"));
  if (U > kUShare * value_mm)
    t.fail_at(t.has("U_um") ? "U_um" : "U_mm",
              "U is " + exact(U) + " mm, more than a tenth of the value " + exact(value_mm) + " mm",
              "U is the expanded uncertainty of the certificate, in micrometres under U_um.");
  return U;
}

Calibrated length(const TomlTable& t, double most_mm) {
  Calibrated c;
  c.mm = t.number("mm", Range::positive(most_mm, "mm"));
  c.U_mm = expanded_uncertainty(t, c.mm);
  return c;
}

/// A size typed by a person needs no uncertainty, and the balls of such a bar may be unknown (0).
Calibrated length(const TomlTable& t, double most_mm, const Artefact& a) {
  if (a.certified) return length(t, most_mm);
  Calibrated c;
  c.mm = t.number("mm", Range::positive(most_mm, "mm"), 0);
  if (t.has("U_um") || t.has("U_mm")) c.U_mm = expanded_uncertainty(t, c.mm);
  return c;
}

Calibrated known_length(const TomlTable& t, double most_mm, const Artefact& a) {
  const Calibrated c = length(t, most_mm, a);
  if (!(c.mm > 0)) t.fail("\"mm\" is missing", "Give the size in millimetres.");
  return c;
}

double form(const TomlTable& t) {
  return t.small_length_or(0, "form", Range::from_zero(10'000, "µm"));
}

// ---- ball, bar, plate

void read_ball(const TomlTable& t, Artefact& a) {
  const TomlTable diameter = t.table("diameter");
  ArtefactBall ball{"A", known_length(diameter, kLargestBall_mm, a), 0};
  const bool inside = diameter.has("form_um") || diameter.has("form_mm");
  if (inside && (t.has("form_um") || t.has("form_mm")))
    t.fail("the form error is given twice", "Keep one form_um.");
  ball.form_mm = form(inside ? diameter : t);
  diameter.finish();
  a.balls.push_back(ball);
}

void read_bar_balls(const TomlTable& t, Artefact& a) {
  for (const TomlTable& entry : t.need_tables("balls", 200)) {
    const ArtefactBall ball{entry.label("id"), length(entry, kLargestBall_mm, a), form(entry)};
    if (std::ranges::find(a.balls, ball.id, &ArtefactBall::id) != a.balls.end())
      entry.fail_at(
          "id", "ball \"" + ball.id + "\" is listed twice", "Give every ball its own id.");
    entry.finish();
    a.balls.push_back(ball);
  }
  if (a.balls.size() < 2)
    t.fail_at(
        "balls",
        "a bar needs two balls or more, \"balls\" lists " + std::to_string(a.balls.size()),
        "Write balls = [ { id = \"A\", mm = …, U_um = … }, { id = \"B\", … } ]; one ball alone "
        "has kind = \"ball\".");
}

const ArtefactBall& ball_named(const TomlTable& entry, std::string_view key, const Artefact& a) {
  const std::string id = entry.text(key);
  const auto it = std::ranges::find(a.balls, id, &ArtefactBall::id);
  if (it != a.balls.end()) return *it;
  std::vector<std::string> ids;
  for (const auto& b : a.balls) ids.push_back(b.id);
  entry.fail_at(key, "there is no ball \"" + id + "\"", did_you_mean(id, ids));
}

/// Two balls in either order.
std::pair<std::string, std::string> between(const std::string& a, const std::string& b) {
  return std::minmax(a, b);
}

void read_distances(const TomlTable& t, Artefact& a) {
  std::set<std::pair<std::string, std::string>> listed;
  for (const TomlTable& entry : t.need_tables("distances", 20'000)) {
    const ArtefactBall& from = ball_named(entry, "from", a);
    const ArtefactBall& to = ball_named(entry, "to", a);
    if (from.id == to.id)
      entry.fail_at("to", "a distance from ball \"" + from.id + "\" to itself", "Name two balls.");
    if (!listed.insert(between(from.id, to.id)).second)
      entry.fail_at("from",
                    "the distance " + from.id + "–" + to.id + " is listed twice",
                    "Keep one of the two.");
    const ArtefactDistance d{from.id, to.id, known_length(entry, kLongest_mm, a)};
    if (d.length.mm < (from.diameter.mm + to.diameter.mm) / 2)
      entry.fail_at("mm",
                    "the distance " + exact(d.length.mm) +
                        " mm is less than half of both diameters: "
                        "the balls would overlap",
                    "Give the distance of the ball centres.");
    entry.finish();
    a.distances.push_back(d);
  }
  if (a.distances.empty())
    t.fail_at("distances",
              "a bar needs the distance of two balls",
              "Write distances = [ { from = \"A\", to = \"B\", mm = …, U_um = … } ].");
}

/// Three balls whose three distances are all given must be able to stand that way.
void check_triangles(const TomlTable& t, const Artefact& a) {
  constexpr double kSlack = 1e-4;  // of the longest: certificates round, slips do not
  std::map<std::pair<std::string, std::string>, double> known;
  for (const auto& d : a.distances) known[between(d.from, d.to)] = d.length.mm;
  for (const auto& d : a.distances)
    for (const auto& ball : a.balls) {
      const auto first = known.find(between(d.from, ball.id));
      const auto second = known.find(between(ball.id, d.to));
      if (first == known.end() || second == known.end()) continue;
      if (d.length.mm > (first->second + second->second) * (1 + kSlack))
        t.fail_at("distances",
                  "the distances contradict each other: " + d.from + "–" + d.to + " " +
                      exact(d.length.mm) + " mm is longer than the way over ball " + ball.id +
                      ", " + exact(first->second) + " + " + exact(second->second) + " mm",
                  "Compare them with the certificate.");
    }
}

void read_plate(const TomlTable& t, Artefact& a) {
  const auto size = t.numbers("size_mm", Range::positive(kLongest_mm, "mm"), 2, 2);
  a.length_mm = size[0];
  a.width_mm = size[1];
  a.border_mm = t.number("border_mm", Range::from_zero(kLongest_mm, "mm"), a.border_mm);
  if (2 * a.border_mm >= std::min(a.length_mm, a.width_mm))
    t.fail_at("border_mm", "the border leaves nothing of the plate", "Give the width of the edge.");
  const auto given = t.maybe_table("flatness");
  if (!given && !a.certified) return;
  const TomlTable flatness = t.table("flatness");
  a.flatness.mm = flatness.small_length("", Range::from_zero(10'000, "µm"));
  a.flatness.U_mm = flatness.small_length("U", Range::from_zero(10'000, "µm"));
  flatness.finish();
}

// ---- what all kinds share

void read_material(const TomlTable& t, Artefact& a) {
  a.material = t.text("material", "");
  const Material* known = find_material(a.material.empty() ? "steel" : a.material);
  a.alpha_from_table = !t.has_expansion("alpha");
  if (!known && a.alpha_from_table)
    t.fail_at("material",
              "the expansion of \"" + a.material + "\" is not known",
              "Give alpha_ppm_K and u_alpha_ppm_K. " + did_you_mean(a.material, material_names()));
  if (known) {
    a.alpha_per_K = known->alpha_per_K;
    a.u_alpha_per_K = known->u_alpha_per_K;
  }
  a.alpha_per_K = t.expansion("alpha", a.alpha_per_K);
  a.u_alpha_per_K = t.expansion("u_alpha", a.u_alpha_per_K);
  if (a.u_alpha_per_K < 0)
    t.fail("the uncertainty u_alpha is negative", "It is a standard uncertainty, in ppm/K.");
}

void read_holder(const TomlTable& t, Artefact& a) {
  const auto h = t.maybe_table("holder");
  if (!h) return;
  Holder holder;
  const auto axis = h->numbers("axis", {-1e6, 1e6, ""}, 3, 3);
  const double norm = std::hypot(axis[0], axis[1], axis[2]);
  if (!(norm > 1e-9)) h->fail_at("axis", "the axis has no direction", "Write e.g. [0, 1, 0].");
  // Left alone when it is a unit vector already, so that writing and reading again changes nothing.
  const double scale = std::abs(norm - 1) < 1e-12 ? 1 : norm;
  for (int i = 0; i < 3; ++i) holder.axis[i] = axis[i] / scale;
  holder.half_angle_deg = h->number("half_angle_deg", {0, 90, "degrees", true});
  h->finish();
  a.holder = holder;
}

void read_support(const TomlTable& t, Artefact& a) {
  a.support = t.text("support", "");
  a.support_mm = t.small_length_or(0, "support", Range::from_zero(5'000, "µm"));
  if (a.kind != ArtefactKind::bar) return;
  const auto b = t.maybe_table("bending");
  if (!b) return;
  Bending bending;
  bending.off_axis_mm = b->number("off_axis_mm", Range::from_zero(1000, "mm"));
  bending.slope_urad = b->number("slope_urad", Range::from_zero(10'000, "µrad"));
  b->finish();
  a.bending = bending;
}

void read_certificate(const TomlTable& t, Artefact& a) {
  a.certificate = t.text("certificate", "");
  a.laboratory = t.text("laboratory", "");
  a.date = t.date("date");
  a.due = t.date("due");
  if (a.date && a.due && *a.due < *a.date)
    t.fail_at("due",
              "due on " + to_string(*a.due) + ", before the calibration of " + to_string(*a.date),
              "Look at the certificate: date is the calibration, due the day it runs out.");
  a.reference_C = t.number("reference_C", {-50, 100, "°C"}, a.reference_C);
  a.k = t.number("k", {1, 10, ""}, a.k);
  a.drift_mm_per_year =
      t.small_length_or(0, "drift", Range::from_zero(10'000, "µm per year"), "_per_year");
  a.certified = t.flag("certified", true);
}

void read_common(const TomlTable& t, Artefact& a) {
  a.serial = t.label("serial");
  read_material(t, a);
  read_certificate(t, a);
  read_support(t, a);
  a.surface = t.text("surface", "");
  a.coating_mm = t.small_length_or(0, "coating", Range::from_zero(5'000, "µm"));
  read_holder(t, a);
}

// ---- writing

std::string written(const Calibrated& c) {
  return "mm = " + exact(c.mm) + ", " + toml_small_length("U", c.U_mm);
}

std::string written_form(double form_mm) {
  return form_mm > 0 ? ", " + toml_small_length("form", form_mm) : "";
}

void write_sizes(TomlWriter& w, const Artefact& a) {
  if (a.kind == ArtefactKind::plate) {
    w.line("size_mm = " + toml_numbers({a.length_mm, a.width_mm}));
    w.number("border_mm", a.border_mm);
    w.line("flatness = { " + toml_small_length("", a.flatness.mm) + ", " +
           toml_small_length("U", a.flatness.U_mm) + " }");
  } else if (a.kind == ArtefactKind::ball) {
    const ArtefactBall ball = a.balls.empty() ? ArtefactBall{} : a.balls[0];
    w.line("diameter = { " + written(ball.diameter) + written_form(ball.form_mm) + " }");
  } else {
    w.line("balls = [");
    for (const auto& b : a.balls)
      w.line("  { id = " + toml_text(b.id) + (b.diameter.mm > 0 ? ", " + written(b.diameter) : "") +
             written_form(b.form_mm) + " },");
    w.line("]");
    w.line("distances = [");
    for (const auto& d : a.distances)
      w.line("  { from = " + toml_text(d.from) + ", to = " + toml_text(d.to) + ", " +
             written(d.length) + " },");
    w.line("]");
  }
}

void write_material(TomlWriter& w, const Artefact& a) {
  w.text("material", a.material);
  if (!a.alpha_from_table) w.line(toml_expansion("alpha", a.alpha_per_K));
  const Material* known = find_material(a.material.empty() ? "steel" : a.material);
  if (a.u_alpha_per_K != (known ? known->u_alpha_per_K : Artefact{}.u_alpha_per_K))
    w.line(toml_expansion("u_alpha", a.u_alpha_per_K));
}

}  // namespace

std::string to_string(ArtefactKind kind) {
  return kind == ArtefactKind::ball ? "ball" : kind == ArtefactKind::bar ? "bar" : "plate";
}

Artefact load_artefact(const std::filesystem::path& file) {
  const TomlTable t = TomlTable::load(file);
  Artefact a;
  a.name = file.stem().string();
  a.kind = kind_of(t.word("kind", {"ball", "bar", "plate"}));
  read_common(t, a);
  if (a.kind == ArtefactKind::ball) read_ball(t, a);
  if (a.kind == ArtefactKind::plate) read_plate(t, a);
  if (a.kind == ArtefactKind::bar) {
    read_bar_balls(t, a);
    read_distances(t, a);
    check_triangles(t, a);
  }
  t.finish();
  return a;
}

std::string to_toml(const Artefact& a) {
  TomlWriter w;
  w.text("kind", to_string(a.kind));
  w.text("serial", a.serial);
  write_material(w, a);
  w.text("certificate", a.certificate);
  w.text("laboratory", a.laboratory);
  w.date("date", a.date);
  w.date("due", a.due);
  w.number("reference_C", a.reference_C);
  if (a.k != 2) w.number("k", a.k);
  if (a.drift_mm_per_year > 0) w.line(toml_small_length("drift", a.drift_mm_per_year, "_per_year"));
  w.text("support", a.support);
  if (a.support_mm > 0) w.line(toml_small_length("support", a.support_mm));
  if (a.bending)
    w.line("bending = { off_axis_mm = " + exact(a.bending->off_axis_mm) +
           ", slope_urad = " + exact(a.bending->slope_urad) + " }");
  w.text("surface", a.surface);
  if (a.coating_mm > 0) w.line(toml_small_length("coating", a.coating_mm));
  if (a.holder)
    w.line("holder = { axis = " + toml_numbers({a.holder->axis.begin(), a.holder->axis.end()}) +
           ", half_angle_deg = " + exact(a.holder->half_angle_deg) + " }");
  if (!a.certified) w.flag("certified", false);
  write_sizes(w, a);
  return w.str();
}

}  // namespace rigproof
