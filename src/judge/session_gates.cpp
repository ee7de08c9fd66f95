#include "judge/session_gates.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/number.h"
#include "evaluate/characteristic.h"

namespace rigproof {
namespace {

constexpr double kWeakShare = 1.0 / 3;                 // U over limit
constexpr double kFormShare = 0.2;                     // artefact form over the limit of PF
constexpr double kCorrectedShare = 0.1;                // of the limit
constexpr double kDriftWarn = 0.1, kDriftStop = 0.25;  // change during the test, of the limit
constexpr double kDriftAlone = 0.5;    // K between start and end, where there is no limit
constexpr double kSoak = 1;            // h
constexpr double kJump = 1;            // K/h
constexpr double kWarmUpMinutes = 30;  // common practice

std::string name_of(const std::string& id) {
  const Characteristic* c = find_characteristic(id);
  return c ? std::string(c->name) : id;
}

void add(std::vector<Finding>& to, const std::optional<Finding>& finding) {
  if (finding) to.push_back(*finding);
}

std::optional<double> limit_of(const Limits& limits, const std::string& id, double length) {
  const auto it = limits.by_characteristic.find(id);
  if (it == limits.by_characteristic.end()) return std::nullopt;
  return it->second.at(length);
}

// The certificate's part of a characteristic, over its limit.
struct Weakness {
  double ratio = 0;
  std::string what, characteristic;
};

void weigh(Weakness& worst,
           const Limits& limits,
           const std::string& id,
           double length,
           double amount,
           double allowed,
           const char* what) {
  const auto limit = limit_of(limits, id, length);
  if (!limit || !(*limit > 0) || amount <= allowed * *limit) return;
  const double ratio = amount / *limit;
  if (ratio > worst.ratio) worst = {ratio, what, name_of(id)};
}

std::optional<Finding> weak_finding(const Artefact& a, const Limits& limits) {
  Weakness worst;
  const char *uncertainty = "uncertainty (U)", *form = "form error";
  for (const ArtefactDistance& d : a.distances)
    weigh(worst, limits, "sphere_spacing", d.length.mm, d.length.U_mm, kWeakShare, uncertainty);
  for (const ArtefactBall& b : a.balls) {
    weigh(worst, limits, "probing_size", b.diameter.mm, b.diameter.U_mm, kWeakShare, uncertainty);
    weigh(worst, limits, "probing_form", b.diameter.mm, b.form_mm, kFormShare, form);
  }
  if (a.kind == ArtefactKind::plate)
    weigh(worst, limits, "flatness", a.length_mm, a.flatness.U_mm, kWeakShare, uncertainty);
  if (worst.ratio == 0) return std::nullopt;
  return make_finding("artefact-weak",
                      {{"what", worst.what},
                       {"id", a.serial},
                       {"percent", fixed(100 * worst.ratio, 0)},
                       {"characteristic", worst.characteristic}});
}

std::optional<Finding> overdue(const Artefact& a,
                               const Procedure& p,
                               const std::optional<Date>& test_date) {
  if (!a.due || !test_date) return std::nullopt;
  const auto days = (std::chrono::sys_days(*test_date) - std::chrono::sys_days(*a.due)).count();
  if (days <= 0) return std::nullopt;
  return make_finding("artefact-overdue",
                      {{"id", a.serial}, {"days", std::to_string(days)}},
                      {},
                      p.overdue_stops ? Severity::stop : Severity::warn);
}

std::optional<Finding> alike(const Artefact& a) {
  if (a.balls.size() != 2) return std::nullopt;
  const Calibrated &d0 = a.balls[0].diameter, &d1 = a.balls[1].diameter;
  if (!(d0.mm > 0 && d1.mm > 0)) return std::nullopt;
  const double difference = std::abs(d0.mm - d1.mm);
  if (difference > 0.05) return std::nullopt;
  return make_finding("balls-alike", {{"id", a.serial}, {"difference", micrometres(difference)}});
}

struct Longest {
  const Artefact* artefact = nullptr;
  double length = 0;
};

Longest longest_distance(const std::vector<Artefact>& artefacts) {
  Longest l;
  for (const Artefact& a : artefacts)
    for (const ArtefactDistance& d : a.distances)
      if (d.length.mm > l.length) l = {&a, d.length.mm};
  return l;
}

double temperature_u(const Artefact& a, double length, const ArtefactTemperature& t) {
  double square = 0;
  for (const BudgetLine& line : temperature_lines(a, length, t)) square += line.u * line.u;
  return std::sqrt(square);
}

std::optional<Finding> not_soaked(const Environment& e,
                                  const Longest& l,
                                  const std::optional<double>& limit) {
  const bool both = e.artefact_C && e.artefact_C_end;
  const double dT = both ? std::abs(*e.artefact_C_end - *e.artefact_C) : 0;
  const double change = l.length * std::abs(l.artefact->alpha_per_K) * dT;
  const bool drifted = limit ? change > kDriftWarn * *limit : dT > kDriftAlone;
  const bool brief = e.soaked_h && *e.soaked_h < kSoak;
  if (!drifted && !brief) return std::nullopt;
  std::string why = brief ? fmt::format("soaked {:g} h", *e.soaked_h) : "";
  if (both) why += fmt::format("{}{:g} K between start and end", brief ? ", " : "", dT);
  return make_finding(
      "not-soaked",
      {{"id", l.artefact->serial},
       {"change", both ? micrometres(change) : "an unknown amount"},
       {"why", why},
       {"hours", e.soaked_h ? fmt::format("{:g}", std::max(1.0, 2 * *e.soaked_h)) : "2"}},
      {},
      limit && change > kDriftStop * *limit ? Severity::stop : Severity::warn);
}

std::optional<Finding> corrected(const ArtefactTemperature& t,
                                 const Longest& l,
                                 const std::optional<double>& limit) {
  const double correction = reference_at(*l.artefact, l.length, t.C) - l.length;
  if (!limit || std::abs(correction) <= kCorrectedShare * *limit) return std::nullopt;
  return make_finding("temperature-corrected",
                      {{"id", l.artefact->serial},
                       {"correction", micrometres(correction)},
                       {"temperature", fmt::format("{:.1f} °C", t.C)},
                       {"u", micrometres(temperature_u(*l.artefact, l.length, t))},
                       {"reference", fmt::format("{:g} °C", l.artefact->reference_C)}});
}

}  // namespace

std::vector<Finding> identity_findings(const Session& session,
                                       bool calibration_is_file,
                                       const std::optional<Date>& first_scan) {
  std::vector<Finding> out;
  if (!calibration_is_file)
    out.push_back(
        make_finding("calibration-by-words",
                     {{"words", session.calibration.empty() ? "not named" : session.calibration}}));
  if (!session.rig.lens_locked) out.push_back(make_finding("lens-lock-unknown", {}));
  const auto& date = session.limits.date;
  if (date && first_scan && std::chrono::sys_days(*date) > std::chrono::sys_days(*first_scan))
    out.push_back(
        make_finding("limits-after-scans",
                     {{"limits_date", to_string(*date)}, {"scan_date", to_string(*first_scan)}}));
  if (!first_scan)
    out.push_back(make_finding(
        "clock-odd",
        {{"detail",
          "Nothing tells the day of the test: neither certificates that ran out or are younger "
          "than "
          "the test, nor limits set afterwards, nor the artefacts' drift could be checked."}}));
  for (const Artefact& a : session.artefacts)
    if (a.date && first_scan && std::chrono::sys_days(*a.date) > std::chrono::sys_days(*first_scan))
      out.push_back(
          make_finding("clock-odd",
                       {{"detail",
                         fmt::format("The certificate of {} is dated {}, after the test ({}).",
                                     a.serial,
                                     to_string(*a.date),
                                     to_string(*first_scan))}}));
  return out;
}

std::optional<Finding> size_finding(const Artefact& a,
                                    const Volume& volume,
                                    const SizeDemand& demand) {
  const double L0 = volume.diagonal();
  const auto say = [&](const std::string& size, const std::string& wanted) {
    return make_finding("size-unsuited",
                        {{"id", a.serial},
                         {"size", size},
                         {"diagonal", fmt::format("{:.0f} mm", L0)},
                         {"wanted", wanted}});
  };
  for (const ArtefactBall& b : a.balls) {
    const double d = b.diameter.mm;
    if (d > 0 && (d < demand.ball_least * L0 || d > demand.ball_most * L0))
      return say(fmt::format("Ø {:.1f} mm", d),
                 fmt::format("Ø {:.1f}–{:.1f} mm", demand.ball_least * L0, demand.ball_most * L0));
  }
  double longest = 0;
  for (const ArtefactDistance& d : a.distances) longest = std::max(longest, d.length.mm);
  if (a.kind == ArtefactKind::bar && longest < demand.bar_least * L0)
    return say(fmt::format("{:.0f} mm long", longest),
               fmt::format("{:.0f} mm or more", demand.bar_least * L0));
  const bool plate = a.kind == ArtefactKind::plate;
  if (plate && (a.length_mm < demand.plate_least * L0 || a.width_mm < demand.plate_width_mm))
    return say(
        fmt::format("{:.0f} × {:.0f} mm", a.length_mm, a.width_mm),
        fmt::format("{:.0f} × {:.0f} mm or more", demand.plate_least * L0, demand.plate_width_mm));
  return std::nullopt;
}

std::vector<Finding> artefact_findings(const Artefact& a,
                                       const Limits& limits,
                                       const Procedure& procedure,
                                       const Volume* volume,
                                       const std::optional<Date>& test_date) {
  std::vector<Finding> out;
  if (!a.certified) out.push_back(make_finding("artefact-uncertified", {{"id", a.serial}}));
  add(out, overdue(a, procedure, test_date));
  add(out, weak_finding(a, limits));
  if (a.coating_mm > 0)
    out.push_back(
        make_finding("coated", {{"id", a.serial}, {"thickness", micrometres(a.coating_mm)}}));
  if (volume) add(out, size_finding(a, *volume, procedure.sizes));
  add(out, alike(a));
  return out;
}

std::vector<Finding> environment_findings(const Environment& environment,
                                          const std::vector<Artefact>& artefacts,
                                          const Limits& limits) {
  std::vector<Finding> out;
  const Longest l = longest_distance(artefacts);
  if (!l.artefact) return out;
  const ArtefactTemperature t = artefact_temperature(environment);
  const auto limit = limit_of(limits, "sphere_spacing", l.length);
  const std::string length = fmt::format("{:.0f} mm", l.length);
  const std::string u = micrometres(temperature_u(*l.artefact, l.length, t));
  if (rectangular(t))
    out.push_back(make_finding("temperature-missing", {{"u", u}, {"length", length}}));
  else if (t.basis == "room")
    out.push_back(
        make_finding("temperature-room", {{"u_C", fixed(t.u_C, 1)}, {"u", u}, {"length", length}}));
  add(out, corrected(t, l, limit));
  add(out, not_soaked(environment, l, limit));
  return out;
}

std::optional<Finding> temperature_jump(const std::vector<TemperatureReading>& log) {
  const TemperatureRate rate = fastest_change(log);
  if (rate.kelvin_per_hour <= kJump) return std::nullopt;
  return make_finding("temperature-jump",
                      {{"rate", fixed(rate.kelvin_per_hour, 1)}, {"time", rate.when}});
}

std::vector<Finding> support_findings(const Environment& environment,
                                      const std::vector<Artefact>& artefacts) {
  std::vector<Finding> out;
  for (const Artefact& a : artefacts) {
    const auto told = environment.support.find(a.serial);
    if (told == environment.support.end() || a.support.empty() || told->second == a.support)
      continue;
    out.push_back(make_finding(
        "wrong-support", {{"id", a.serial}, {"support", told->second}, {"calibrated", a.support}}));
  }
  return out;
}

std::optional<Finding> same_person(const std::string& tested, const std::string& authorised) {
  if (tested.empty() || tested != authorised) return std::nullopt;
  return make_finding("same-person", {{"name", tested}});
}

std::vector<Finding> changed_since(const EarlierRun& earlier,
                                   DecisionRule rule,
                                   const std::string& calibration_sha256) {
  std::vector<Finding> out;
  if (!earlier.calibration_sha256.empty() && earlier.calibration_sha256 != calibration_sha256)
    out.push_back(make_finding("calibration-changed",
                               {{"where", earlier.where}, {"n", std::to_string(earlier.scans)}}));
  if (!earlier.rule.empty() && earlier.rule != to_string(rule))
    out.push_back(make_finding(
        "rule-after-scans",
        {{"rule", to_string(rule)}, {"earlier", earlier.rule}, {"where", earlier.where}}));
  return out;
}

std::optional<Finding> uncertainty_ignored(const std::vector<LimitedValue>& values,
                                           DecisionRule rule) {
  if (rule != DecisionRule::simple) return std::nullopt;
  const LimitedValue* worst = nullptr;
  for (const LimitedValue& v : values)
    if (!worst || v.value->U * worst->limit > worst->value->U * v.limit) worst = &v;
  if (!worst || worst->value->U <= kWeakShare * worst->limit) return std::nullopt;
  return make_finding("uncertainty-ignored",
                      {{"percent", fixed(100 * worst->value->U / worst->limit, 0)},
                       {"characteristic", name_of(worst->value->id)},
                       {"scan", worst->value->scan}});
}

std::vector<Finding> limit_findings(const std::vector<std::string>& evaluated,
                                    const Limits& limits) {
  std::vector<Finding> out;
  for (const std::string& id : evaluated)
    if (!limits.by_characteristic.contains(id))
      out.push_back(make_finding("limit-missing", {{"characteristic", name_of(id)}}));
  return out;
}

std::vector<Finding> position_findings(const std::vector<KindProgress>& progress,
                                       double minutes_per_scan) {
  std::vector<Finding> out;
  for (const KindProgress& p : progress) {
    if (!p.present || p.done >= p.needed) continue;
    const std::string missing = p.missing.empty()
                                    ? fmt::format("{} more anywhere new", p.needed - p.done)
                                    : fmt::format("{}", fmt::join(p.missing, "; "));
    out.push_back(
        make_finding("position-missing",
                     {{"done", std::to_string(p.done)},
                      {"needed", std::to_string(p.needed)},
                      {"kind", to_string(p.kind)},
                      {"missing", missing},
                      {"minutes", fmt::format("{:.0f}", (p.needed - p.done) * minutes_per_scan)}}));
  }
  return out;
}

std::optional<Finding> mesh_finding(std::size_t files, std::uint64_t vertices, const Rig& rig) {
  if (files == 0) return std::nullopt;
  return make_finding("is-mesh",
                      {{"files", fmt::format("{} scan{}", files, files == 1 ? "" : "s")},
                       {"n", std::to_string(vertices)}},
                      {},
                      rig.export_kind == "mesh" ? Severity::note : Severity::warn);
}

std::optional<Finding> warm_up_finding(const TestValue& first,
                                       const TestValue& last,
                                       double limit,
                                       double share) {
  const double change = last.value - first.value;
  const double u = std::hypot(first.u_fit, last.u_fit);
  if (!(limit > 0) || std::abs(change) - 2 * u <= share * limit) return std::nullopt;
  return make_finding("warm-up",
                      {{"place", first.place},
                       {"change", micrometres(change)},
                       {"first", first.scan},
                       {"last", last.scan},
                       {"u_fit", micrometres(u)},
                       {"limit", micrometres(limit)},
                       {"minutes", fixed(kWarmUpMinutes, 0)}});
}

}  // namespace rigproof
