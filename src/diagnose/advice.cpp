#include "diagnose/advice.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "diagnose/remedy.h"
#include "diagnose/separation.h"

namespace rigproof {
namespace {

constexpr std::size_t kZonesNamed = 4;
constexpr double kMuchLeft = 1.5;  // χ² per degree of freedom that no signature explains
constexpr double kUm = 1000;

std::string unit_in_words(const std::string& unit) {
  return unit == "um" ? "µm" : unit == "urad" ? "µrad" : unit;
}

// With as many decimals as give u two digits.
std::string with_u(double value, double u) {
  const int digits = u > 0 ? std::clamp(1 - static_cast<int>(std::floor(std::log10(u))), 0, 6) : 3;
  return fmt::format("{:.{}f} ± {:.{}f}", value, digits, u, digits);
}

bool raised(const DiagnosisInput& in, std::string_view finding) {
  return std::ranges::find(in.findings, finding) != in.findings.end();
}

void add_spoilers(const DiagnosisInput& in, bool before, std::vector<std::string>& out) {
  for (const Spoiler& s : spoilers())
    if (s.before == before && raised(in, s.finding))
      out.push_back(fmt::format("{} · finding {}", s.action, s.finding));
}

std::string evidence_of(const Cause& cause, const Diagnosis& d) {
  std::string out = fmt::format("{} · χ² drops by {:.0f}", in_words(cause), cause.chi2_drop);
  if (d.worst_sd > 0)
    out += fmt::format(
        " · corrected, the largest length error of this session would be about "
        "{:.1f} µm instead of {:.1f} µm",
        kUm * cause.worst_after,
        kUm * d.worst_sd);
  return out;
}

// One line for each thing to do, whatever the number of causes that ask for it.
void add_actions(const DiagnosisInput& in, const Diagnosis& d, std::vector<std::string>& out) {
  for (const Cause& cause : d.causes) {
    const Remedy* r = find_remedy(cause.id);
    const auto same = [&](const std::string& line) { return line.starts_with(r->action); };
    if (!r || std::ranges::any_of(out, same)) continue;
    std::vector<std::string> zones = zones_to_show(cause.id, in.views_per_zone);
    for (const Cause& other : d.causes)
      if (!other.zone.empty() && other.id == cause.id) zones.push_back(other.zone);
    const std::string where =
        zones.empty() ? "" : fmt::format(" · zones {}", fmt::join(zones, ", "));
    out.push_back(fmt::format("{}{} · {}", r->action, where, evidence_of(cause, d)));
  }
}

int index_of(const DiagnosisModel& m, const Cause& c) {
  for (std::size_t i = 0; i < m.signatures.size(); ++i)
    if (m.signatures[i].id == c.id && m.signatures[i].zone == c.zone) return static_cast<int>(i);
  return -1;
}

bool grouped(const Diagnosis& d, const std::string& a, const std::string& b) {
  return std::ranges::any_of(d.indistinguishable, [&](const auto& group) {
    return std::ranges::find(group, a) != group.end() && std::ranges::find(group, b) != group.end();
  });
}

// The best cause against the next one that asks for something else.
void add_separation(const DiagnosisInput& in,
                    const DiagnosisModel& m,
                    const Diagnosis& d,
                    std::vector<std::string>& out) {
  if (d.causes.size() < 2 || d.two_faults) return;
  const Cause& best = d.causes.front();
  const Remedy* remedy = find_remedy(best.id);
  for (const Cause& other : d.causes) {
    const Remedy* r = find_remedy(other.id);
    if (!remedy || !r || r->action == remedy->action) continue;
    const auto bar = telling_bar(m,
                                 in.observations.artefacts,
                                 {index_of(m, best), best.coefficient},
                                 {index_of(m, other), other.coefficient});
    if (bar)
      out.push_back(
          fmt::format("Scan the {:.0f} mm bar once more with its middle in zone {}, {} · "
                      "not sure which of {} or {}: there they differ by {:.1f} µm "
                      "(u {:.1f} µm)",
                      bar->length_mm,
                      bar->zone,
                      bar->along,
                      best.id,
                      other.id,
                      kUm * bar->difference,
                      kUm * bar->u));
    else
      out.push_back(fmt::format(
          "Correct both before the next test · not sure which of {} or {}: "
          "{}",
          best.id,
          other.id,
          grouped(d, best.id, other.id) ? "no position of these artefacts tells them apart"
                                        : "no single bar tells them apart at this size"));
    return;
  }
}

}  // namespace

std::string in_words(const Cause& cause) {
  const Remedy* r = find_remedy(cause.id);
  const std::string words =
      r ? std::string(cause.coefficient < 0 ? r->negative : r->positive) : cause.id;
  return fmt::format("{}{} by {} {}",
                     words,
                     cause.zone.empty() ? "" : " in zone " + cause.zone,
                     with_u(std::abs(cause.coefficient), cause.u),
                     unit_in_words(cause.unit));
}

std::vector<std::string> zones_to_show(const std::string& fault,
                                       const std::map<std::string, int>& views_per_zone) {
  const Remedy* r = find_remedy(fault);
  if (!r || r->places == BoardPlaces::any || r->places == BoardPlaces::zone) return {};
  std::vector<std::string> zones;
  for (const std::string& id : all_zone_ids()) {
    const bool corner =
        id.find("middle") == std::string::npos && id.find("centre") == std::string::npos;
    if (corner && !id.starts_with("mid-")) zones.push_back(id);
  }
  // Four corners that lie across the volume serve as well as eight, unless views say which lack.
  if (views_per_zone.empty() && r->places == BoardPlaces::near_and_far)
    return {"near-top-left", "near-bottom-right", "far-top-right", "far-bottom-left"};
  const auto views = [&](const std::string& zone) {
    const auto at = views_per_zone.find(zone);
    return at == views_per_zone.end() ? 0 : at->second;
  };
  std::ranges::stable_sort(zones, {}, views);
  if (views_per_zone.empty()) return zones;
  zones.resize(kZonesNamed);
  return zones;
}

std::vector<std::string> advice(const DiagnosisInput& in,
                                const DiagnosisModel& model,
                                const Diagnosis& d) {
  std::vector<std::string> out;
  add_spoilers(in, true, out);
  if (!d.clean) {
    add_actions(in, d, out);
    add_separation(in, model, d, out);
  }
  add_spoilers(in, false, out);
  if (d.chi2_per_dof > kMuchLeft)
    out.push_back(fmt::format(
        "Look at the deviation maps of the plates and balls · {} leaves {:.1f} times the scatter "
        "that the uncertainty allows",
        d.clean            ? "no signature fits, and the test"
        : d.causes.empty() ? "no cause of possible size explains the values, and the test"
                           : "the named fault",
        std::sqrt(d.chi2_per_dof)));
  if (!d.clean && d.geometry == "generic")
    out.push_back(
        "Enter the rig's stereo geometry, if only by tape measure · without it errors "
        "are described, not traced to a part of the rig");
  return out;
}

}  // namespace rigproof
