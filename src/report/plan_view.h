#pragma once

#include <string>
#include <utility>
#include <vector>

#include "plan/plan.h"
#include "report/language.h"
#include "report/options.h"
#include "report/quantity.h"
#include "report/scene.h"
#include "report/volume_sketch.h"

namespace rigproof {

/// The three small views of one position and the keys of their titles.
inline constexpr std::pair<View, const char*> kPlanViews[] = {
    {View::front, "plan.front"}, {View::top, "plan.top"}, {View::side, "plan.side"}};

/// A plan in the words and pictures of one language, shared by page and sheet.
struct PlanView {
  PlanView(const Session& session, const Plan& plan, const ReportOptions& options);

  const Session& session;
  const Plan& plan;
  Language language;
  NumberStyle numbers;

  std::string title() const;  ///< rig, field, session
  std::string lead() const;   ///< scans, minutes, changes
  /// "far-top-left", "near-top-left to far-bottom-right", with edge or lean behind it.
  std::string place(const PlannedScan& scan) const;
  std::string artefact(const PlannedScan& scan) const;
  PlacedPiece piece(const PlannedScan& scan) const;
  std::vector<std::string> cautions() const;
};

/// plan.html: one page for a phone, without scripts, saved or printed as it is.
std::string plan_html(const Session& session, const Plan& plan, const ReportOptions& options);
/// plan.pdf: one black-and-white page for the wall: big numbers in the order of measuring, a box to
/// tick, front, top and side of each position, minutes, cautions.
std::string plan_pdf(const Session& session, const Plan& plan, const ReportOptions& options);

}  // namespace rigproof
