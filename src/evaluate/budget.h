#pragma once

#include "evaluate/values.h"

namespace rigproof {

/// Artefact ball or pair, as the keys of shared lines name it.
struct CertifiedItem {
  const Artefact& artefact;
  std::string name;  ///< "A", "A-B", "flatness"
};

/// U/k of a certificate value; shared by every value measured on this item.
BudgetLine calibration_line(const CertifiedItem& item, double U_mm);
/// A calibrated form error F of the artefact adds half of it (practice of ISO/TS 23165; from
/// memory).
BudgetLine form_line(const CertifiedItem& item, double form_mm);
/// Drift since the calibration date: ± drift per year × years, rectangular. Zero without dates.
BudgetLine drift_line(const CertifiedItem& item, const std::optional<Date>& test_date);
/// What another support than the calibration's may change: ± the declared amount, rectangular.
BudgetLine support_line(const CertifiedItem& item);
/// ± 2·h·slope of a bar whose balls lie beside its neutral axis, rectangular.
BudgetLine bending_line(const CertifiedItem& item);
/// A declared coating is an unknown of up to its thickness times `sides`, rectangular.
BudgetLine coating_line(const CertifiedItem& item, double sides);
/// Coordinates rounded to `step`: step/√12 in each, times `gain`.
BudgetLine rounding_line(double step_mm, double gain);
/// Half the change of the value between the widened and the narrowed zone. One pair of zones tells
/// it to about 25 %, hence eight degrees of freedom (JCGM 100:2008, G.4.2); our own decision.
BudgetLine zone_line(double wider_mm, double narrower_mm);

}  // namespace rigproof
