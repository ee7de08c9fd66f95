#pragma once

#include "report/context.h"
#include "report/page_template.h"

namespace rigproof {

/// Each fills its part of the engineer's report.
void fill_verdict(PageData& page, const ReportContext& context);
void fill_volume(PageData& page, const ReportContext& context);
void fill_characteristics(PageData& page, const ReportContext& context);
void fill_positions(PageData& page, const ReportContext& context);
void fill_zones(PageData& page, const ReportContext& context);
void fill_diagnosis(PageData& page, const ReportContext& context);
void fill_drift(PageData& page, const ReportContext& context);
void fill_budgets(PageData& page, const ReportContext& context);
void fill_record(PageData& page, const ReportContext& context);

}  // namespace rigproof
