#include "report/plan_view.h"

#include <fmt/format.h>

#include "report/assets.h"
#include "report/plain_text.h"
#include "report/statements.h"

namespace rigproof {
namespace {

constexpr double kLevel_deg = 3;  // less is square to the view

}  // namespace

PlanView::PlanView(const Session& s, const Plan& p, const ReportOptions& options)
    : session(s),
      plan(p),
      language(assets_folder(options), options.language),
      numbers(options.language, options.inch) {}

std::string PlanView::title() const {
  std::string out = plain_text(session.rig.id, 40) + " / " + plain_text(session.field_name, 40);
  if (!session.id.empty()) out += " · " + plain_text(session.id, 60);
  return out;
}

std::string PlanView::lead() const {
  return language.text("plan.lead",
                       {{"scans", std::to_string(plan.scans.size())},
                        {"minutes", numbers.number(plan.minutes, 0)},
                        {"changes", std::to_string(plan.artefact_changes)}});
}

std::string PlanView::place(const PlannedScan& scan) const {
  std::string where = language.zone(scan.zone);
  if (scan.kind == ArtefactKind::ball) return where;
  if (scan.end_zones.size() == 2)
    where = language.text("plan.from-to",
                          {{"from", language.zone(scan.end_zones.front())},
                           {"to", language.zone(scan.end_zones.back())}});
  const bool leans = scan.lean_deg >= kLevel_deg;
  where += " · ";
  if (!leans || scan.role != Role::depth)
    where += language.phrase(to_string(scan.role)) + (leans ? ", " : "");
  if (leans)
    where += language.text(scan.kind == ArtefactKind::bar ? "plan.leans" : "plan.tilts",
                           {{"deg", numbers.number(scan.lean_deg, 0)}});
  return where;
}

std::string PlanView::artefact(const PlannedScan& scan) const {
  return plain_text(scan.artefact, 40);
}

PlacedPiece PlanView::piece(const PlannedScan& scan) const {
  PlacedPiece p;
  p.scan = p.label = scan.id;
  p.kind = scan.kind;
  p.center = scan.center;
  p.radius = scan.radius_mm;
  p.verdict = Verdict::within;
  p.words = scan.id + " · " + artefact(scan) + " · " + place(scan);
  if (scan.kind == ArtefactKind::plate)
    p.corners = {scan.reaches[0], scan.reaches[1], scan.reaches[3], scan.reaches[2]};
  else
    p.balls = scan.reaches;
  return p;
}

std::vector<std::string> PlanView::cautions() const { return rigproof::cautions(language); }

}  // namespace rigproof
