#include "record/tables.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "base/input_file.h"
#include "base/number.h"

namespace rigproof {
namespace {

/// RFC 4180 quoting; text that a spreadsheet would run as a formula gets a leading apostrophe.
std::string cell(const std::string& raw) {
  std::string text = display(raw);
  if (!text.empty() && std::string_view("=+-@\t\r").find(text[0]) != std::string_view::npos)
    text.insert(0, "'");
  if (text.find_first_of(",\"\n\r") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? "\"\"" : std::string(1, c);
  return quoted + "\"";
}

std::string row(const std::vector<std::string>& cells) {
  return fmt::format("{}\r\n", fmt::join(cells, ","));
}

std::string of(const JudgedValue& judged) {
  const TestValue& v = judged.value;
  const auto& d = judged.decision;
  const auto fixed_radius = v.alternatives.find("fixed_radius");
  return row({v.id,
              cell(v.scan),
              cell(v.place),
              v.zone,
              cell(v.artefact),
              cell(v.ball.empty() ? v.pair.first : v.ball),
              cell(v.pair.second),
              exact(v.measured),
              exact(v.reference),
              exact(v.value),
              d ? exact(d->limit) : "",
              d ? exact(d->ratio) : "",
              exact(v.u),
              exact(v.U),
              exact(v.k),
              exact(v.u_fit),
              d ? exact(d->p_within) : "",
              d ? to_string(d->verdict) : "",
              std::to_string(v.points),
              std::to_string(v.left_out),
              exact(v.value_all_points),
              exact(v.spacing_um),
              fixed_radius == v.alternatives.end() ? "" : exact(fixed_radius->second)});
}

}  // namespace

std::string values_csv(const Results& results) {
  std::string out = row({"characteristic",
                         "scan",
                         "place",
                         "zone",
                         "artefact",
                         "from",
                         "to",
                         "measured",
                         "reference",
                         "value",
                         "limit",
                         "ratio",
                         "u",
                         "U",
                         "k",
                         "u_fit",
                         "p_within",
                         "verdict",
                         "points",
                         "left_out",
                         "value_all_points",
                         "spacing_um",
                         "value_fixed_radius"});
  for (const auto& c : results.characteristics)
    for (const auto& v : c.values) out += of(v);
  return out;
}

std::string positions_csv(const Results& results) {
  std::string out = row({"scan",
                         "status",
                         "reason",
                         "artefact",
                         "place",
                         "zone",
                         "x",
                         "y",
                         "z",
                         "points",
                         "dropped",
                         "worst_ratio",
                         "sha256"});
  for (const auto& s : results.scans) {
    double worst = -1;
    for (const auto& c : results.characteristics)
      for (const auto& v : c.values)
        if (v.value.scan == s.file && v.decision) worst = std::max(worst, v.decision->ratio);
    Vec3 center = Vec3::Zero();
    for (const auto& f : s.features) center += f.center / static_cast<double>(s.features.size());
    const bool placed = !s.features.empty();
    out += row({cell(s.file),
                to_string(s.status),
                cell(s.reason),
                cell(s.artefact),
                cell(s.place),
                s.zone,
                placed ? exact(center.x()) : "",
                placed ? exact(center.y()) : "",
                placed ? exact(center.z()) : "",
                std::to_string(s.points),
                std::to_string(s.dropped),
                worst < 0 ? "" : exact(worst),
                s.sha256});
  }
  return out;
}

}  // namespace rigproof
