#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "base/number.h"
#include "inputs/characteristic_ids.h"
#include "inputs/near_name.h"
#include "inputs/plan_file.h"
#include "inputs/session_folder.h"
#include "inputs/toml_reader.h"
#include "inputs/toml_writer.h"

namespace rigproof {
namespace {

const std::vector<std::string> kKinds{"ball", "bar", "plate"};
const std::vector<std::string> kMarks{"", "S", "C", "M", "CP", "O"};
constexpr double kSurest = 0.999999;

int count(const Procedure& p, ArtefactKind kind) {
  return static_cast<int>(std::ranges::count_if(
      p.positions, [&](const PlannedPosition& at) { return at.kind == kind && !at.closing; }));
}

// ---- reading

void read_zones(const TomlTable& root, ZoneRules& z) {
  const auto t = root.maybe_table("zones");
  if (!t) return;
  z.ball_gate_share =
      t->number("ball_gate_share", {0.001, 0.5, "of the radius"}, z.ball_gate_share);
  z.cap_half_angle_deg =
      t->number("cap_half_angle_deg", {10, 180, "degrees"}, z.cap_half_angle_deg);
  z.plate_gate_mm = t->number("plate_gate_mm", Range::positive(100, "mm"), z.plate_gate_mm);
  z.plate_border_mm = t->number("plate_border_mm", Range::from_zero(1000, "mm"), z.plate_border_mm);
  z.max_rounds = t->integer("max_rounds", 1, 100, z.max_rounds);
  z.stray_gates = t->number("stray_gates", {1, 10, "gates"}, z.stray_gates);
  t->finish();
}

void read_gates(const TomlTable& root, Procedure& p) {
  const auto t = root.maybe_table("gates");
  if (!t) return;
  const auto points = [&](std::string_view key, std::size_t fallback) {
    return static_cast<std::size_t>(t->integer(key, 4, 100'000'000, static_cast<int>(fallback)));
  };
  p.min_points_ball = points("min_points_ball", p.min_points_ball);
  p.min_points_plate = points("min_points_plate", p.min_points_plate);
  p.min_cap_deg = t->number("min_cap_deg", {5, 180, "degrees"}, p.min_cap_deg);
  p.warn_cap_deg = t->number("warn_cap_deg", {5, 180, "degrees"}, p.warn_cap_deg);
  if (p.warn_cap_deg < p.min_cap_deg)
    t->fail_at(
        "warn_cap_deg", "warn_cap_deg is below min_cap_deg", "A warning comes before a stop.");
  p.max_ufit_share = t->number("max_ufit_share", {0.01, 1, "of the limit"}, p.max_ufit_share);
  p.closing_share = t->number("closing_share", {0.01, 1, "of the limit"}, p.closing_share);
  p.overdue_stops = t->word("overdue", {"warn", "stop"}, "warn") == "stop";
  t->finish();
}

void read_demand(const TomlTable& root, Demand& d) {
  const auto t = root.maybe_table("demand");
  if (!t) return;
  d.ball = t->integer("ball", 0, 1000, 0);
  d.bar = t->integer("bar", 0, 1000, 0);
  d.plate = t->integer("plate", 0, 1000, 0);
  d.closing_repeat = t->flag("closing_repeat", false);
  t->finish();
}

void read_sizes(const TomlTable& root, SizeDemand& s) {
  const auto t = root.maybe_table("artefacts");
  if (!t) return;
  const Range share{0, 2, "of the space diagonal"};
  if (t->has("ball")) {
    const auto ball = t->numbers("ball", share, 2, 2);
    s.ball_least = ball[0];
    s.ball_most = ball[1];
    if (s.ball_most < s.ball_least)
      t->fail_at("ball", "the largest ball is below the smallest", "Write [least, most].");
  }
  s.bar_least = t->number("bar_least", share, s.bar_least);
  s.plate_least = t->number("plate_least", share, s.plate_least);
  s.plate_width_mm = t->number("plate_width_mm", Range::from_zero(10'000, "mm"), s.plate_width_mm);
  t->finish();
}

void read_marks(const TomlTable& root, Procedure& p) {
  const auto t = root.maybe_table("marks");
  if (!t) return;
  for (const auto& name : mark_names())
    if (t->has(name)) p.marks[name] = t->word(name, kMarks);
  t->finish();
}

// The 25 patches or others: a first ring of one, no more than a scan can fill.
void read_patches(const TomlTable& t, Procedure& p) {
  p.dispersion_share = t.number("dispersion_share", {0.5, 1, "of the points"}, p.dispersion_share);
  if (!t.has("patches")) return;
  p.patches.clear();
  for (const double n : t.numbers("patches", {1, 64, "patches"}, 2, 8)) {
    if (n != std::floor(n))
      t.fail_at("patches", "patches are counted in whole numbers", "Write e.g. [1, 8, 16].");
    p.patches.push_back(static_cast<int>(n));
  }
}

void read_characteristics(const TomlTable& root, Procedure& p) {
  const TomlTable t = root.table("characteristics");
  for (const auto& id : characteristic_ids()) {
    const auto entry = t.maybe_table(id);
    if (!entry) continue;
    CharacteristicRule rule;
    rule.allowance = entry->number("allowance", {0, 0.2, "of the points"}, 0);
    rule.confidence = entry->word("confidence", kMarks, "");
    entry->finish();
    p.characteristics[id] = rule;
  }
  t.finish();
  if (p.characteristics.empty())
    root.fail_at("characteristics", "no characteristic is named", "Name at least one.");
}

std::array<double, 3> three(const TomlTable& t, std::string_view key, double most) {
  const auto n = t.numbers(key, {-most, most, ""}, 3, 3);
  return {n[0], n[1], n[2]};
}

PlannedPosition read_position(const TomlTable& t, const std::vector<PlannedPosition>& earlier) {
  PlannedPosition at;
  at.id = t.label("id");
  const std::string kind = t.word("artefact", kKinds);
  at.kind = kind == "ball"  ? ArtefactKind::ball
            : kind == "bar" ? ArtefactKind::bar
                            : ArtefactKind::plate;
  at.center = three(t, "at", 1);
  if (t.has("along")) at.direction = three(t, "along", 10);
  if (at.direction && !(std::hypot((*at.direction)[0], (*at.direction)[1], (*at.direction)[2]) > 0))
    t.fail_at("along", "the direction has no length", "Write e.g. [1, 0, 0].");
  if (!at.direction && at.kind != ArtefactKind::ball)
    t.fail("position \"" + at.id + "\" needs \"along\"",
           "Give the direction of the bar, or of the plate's normal.");
  at.place = t.text("place", "");
  at.repeats = t.text("repeats", "");
  at.closing = !at.repeats.empty();
  if (std::ranges::find(earlier, at.id, &PlannedPosition::id) != earlier.end())
    t.fail_at(
        "id", "position \"" + at.id + "\" is listed twice", "Give every position its own id.");
  if (at.closing) {
    const auto it = std::ranges::find(earlier, at.repeats, &PlannedPosition::id);
    if (it == earlier.end() || it->kind != at.kind)
      t.fail_at("repeats",
                "there is no earlier " + kind + " position \"" + at.repeats + "\"",
                "The closing repeat names a position further up.");
  }
  return at;
}

void read_positions(const TomlTable& t, Procedure& p) {
  for (const TomlTable& entry : t.tables("position", 1000)) {
    p.positions.push_back(read_position(entry, p.positions));
    entry.finish();
  }
  if (p.positions.empty()) return;
  const auto enough = [&](ArtefactKind kind, int demand) {
    if (count(p, kind) < demand)
      t.fail_at("position",
                "the procedure demands " + std::to_string(demand) + " positions of a " +
                    to_string(kind) + " and lists " + std::to_string(count(p, kind)),
                "Add positions, or correct [demand].");
  };
  // Balls of bars may stand in for ball positions, two to a bar.
  if (!p.bar_balls_are_positions) enough(ArtefactKind::ball, p.demand.ball);
  enough(ArtefactKind::bar, p.demand.bar);
  enough(ArtefactKind::plate, p.demand.plate);
  if (p.demand.closing_repeat && std::ranges::none_of(p.positions, &PlannedPosition::closing))
    t.fail_at("position",
              "the procedure demands a closing repeat and lists none",
              "Add a last position with repeats = \"…\".");
}

// ---- writing

std::string written(const std::array<double, 3>& v) { return toml_numbers({v[0], v[1], v[2]}); }

void write_zones(TomlWriter& w, const ZoneRules& z) {
  w.heading("[zones]");
  w.number("ball_gate_share", z.ball_gate_share);
  w.number("cap_half_angle_deg", z.cap_half_angle_deg);
  w.number("plate_gate_mm", z.plate_gate_mm);
  w.number("plate_border_mm", z.plate_border_mm);
  w.number("max_rounds", z.max_rounds);
  w.number("stray_gates", z.stray_gates);
}

void write_gates(TomlWriter& w, const Procedure& p) {
  w.heading("[gates]");
  w.line("min_points_ball = " + std::to_string(p.min_points_ball));
  w.line("min_points_plate = " + std::to_string(p.min_points_plate));
  w.number("min_cap_deg", p.min_cap_deg);
  w.number("warn_cap_deg", p.warn_cap_deg);
  w.number("max_ufit_share", p.max_ufit_share);
  w.number("closing_share", p.closing_share);
  w.text("overdue", p.overdue_stops ? "stop" : "warn");
}

void write_demand(TomlWriter& w, const Demand& d) {
  w.heading("[demand]");
  w.number("ball", d.ball);
  w.number("bar", d.bar);
  w.number("plate", d.plate);
  w.flag("closing_repeat", d.closing_repeat);
}

void write_sizes(TomlWriter& w, const SizeDemand& s) {
  w.heading("[artefacts]");
  w.line("ball = " + toml_numbers({s.ball_least, s.ball_most}));
  w.number("bar_least", s.bar_least);
  w.number("plate_least", s.plate_least);
  w.number("plate_width_mm", s.plate_width_mm);
}

void write_marks(TomlWriter& w, const std::map<std::string, std::string>& marks) {
  if (marks.empty()) return;
  w.heading("[marks]");
  for (const auto& [name, mark] : marks) w.text(name, mark);
}

void write_position(TomlWriter& w, const PlannedPosition& at) {
  w.heading("[[position]]");
  w.text("id", at.id);
  w.text("artefact", to_string(at.kind));
  w.line("at = " + written(at.center));
  if (at.direction) w.line("along = " + written(*at.direction));
  w.text("place", at.place);
  w.text("repeats", at.repeats);
}

}  // namespace

const std::vector<std::string>& mark_names() {
  static const std::vector<std::string> names{"center_radius",
                                              "dispersion",
                                              "patches",
                                              "proven",
                                              "retest",
                                              "zones",
                                              "gates",
                                              "demand",
                                              "artefacts",
                                              "positions"};
  return names;
}

Procedure load_procedure(const std::filesystem::path& file) {
  const TomlTable t = TomlTable::load(file);
  Procedure p;
  p.name = t.label("name", file.stem().string());
  p.title = t.text("title", p.name);
  p.style = t.text("style", "");
  p.center_radius = t.word("center_radius", {"free", "fixed"}, "free") == "free"
                        ? RadiusRule::free
                        : RadiusRule::fixed;
  p.dispersion_shell = t.word("dispersion_shell", {"concentric", "free"}, "concentric") == "free"
                           ? ShellRule::free
                           : ShellRule::concentric;
  read_patches(t, p);
  p.bar_balls_are_positions = t.flag("bar_balls_are_positions", false);
  p.minutes_per_scan = t.number("minutes_per_scan", {0, 600, "minutes", true}, p.minutes_per_scan);
  p.proven_probability =
      t.number("proven_probability", {0.5, kSurest, "", true}, p.proven_probability);
  p.retest = t.text("retest", "");
  p.retest_repeats = t.integer("retest_repeats", 1, 100, p.retest_repeats);
  p.deviations = t.texts("deviations", 100);
  read_zones(t, p.zones);
  read_gates(t, p);
  read_demand(t, p.demand);
  read_sizes(t, p.sizes);
  read_marks(t, p);
  read_characteristics(t, p);
  read_positions(t, p);
  t.finish();
  return p;
}

std::vector<PlanEntry> load_positions(const std::filesystem::path& file) {
  const TomlTable t = TomlTable::load(file);
  std::vector<PlannedPosition> earlier;
  std::vector<PlanEntry> out;
  for (const TomlTable& entry : t.tables("position", 1000)) {
    earlier.push_back(read_position(entry, earlier));
    out.push_back({earlier.back(), entry.text("serial", "")});
    entry.finish();
  }
  t.finish();
  return out;
}

std::vector<PlanEntry> positions_of(const Session& session) {
  if (std::filesystem::exists(session.folder / "plan.toml"))
    return load_positions(path_within(session.folder, "plan.toml"));
  std::vector<PlanEntry> out;
  for (const PlannedPosition& p : session.procedure.positions) out.push_back({p, ""});
  return out;
}

std::string to_toml(const std::vector<PlanEntry>& positions) {
  TomlWriter w;
  for (const PlanEntry& at : positions) {
    write_position(w, at);
    w.text("serial", at.serial);
  }
  return w.str();
}

std::string to_toml(const Procedure& p) {
  TomlWriter w;
  w.text("name", p.name);
  w.text("title", p.title);
  w.text("style", p.style);
  w.text("center_radius", p.center_radius == RadiusRule::free ? "free" : "fixed");
  w.text("dispersion_shell", p.dispersion_shell == ShellRule::free ? "free" : "concentric");
  w.number("dispersion_share", p.dispersion_share);
  w.line("patches = " + toml_numbers({p.patches.begin(), p.patches.end()}));
  w.flag("bar_balls_are_positions", p.bar_balls_are_positions);
  w.number("minutes_per_scan", p.minutes_per_scan);
  w.number("proven_probability", p.proven_probability);
  w.text("retest", p.retest);
  w.number("retest_repeats", p.retest_repeats);
  w.line("deviations = " + toml_texts(p.deviations));
  write_zones(w, p.zones);
  write_gates(w, p);
  write_demand(w, p.demand);
  write_sizes(w, p.sizes);
  write_marks(w, p.marks);
  w.heading("[characteristics]");
  for (const auto& [id, rule] : p.characteristics)
    w.line(id + " = { allowance = " + exact(rule.allowance) +
           ", confidence = " + toml_text(rule.confidence) + " }");
  for (const PlannedPosition& at : p.positions) write_position(w, at);
  return w.str();
}

}  // namespace rigproof
