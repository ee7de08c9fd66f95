#pragma once

#include <string>
#include <vector>

#include "report/context.h"

namespace rigproof {

/// The judged value of largest ratio, nullptr when nothing was judged.
const JudgedValue* weakest_value(const Results& results);
/// The value of largest |value| or ratio of one characteristic, nullptr without values.
const JudgedValue* worst_of(const CharacteristicResult& characteristic);

/// The session's date in words, "–" when it is not known.
std::string test_date(const ReportContext& context);
/// "300 × 200 × 150 mm", or the two faces of a frustum; "" when the volume is unknown.
std::string volume_words(const ReportContext& context);
/// One sentence that a stranger understands: when, what was measured, where, how well, what was
/// agreed. Rounded away from zero, so that "to within" holds.
std::string customer_sentence(const ReportContext& context);
/// How values were compared with limits.
std::string rule_sentence(const ReportContext& context);
/// What U means.
std::string uncertainty_sentence(const ReportContext& context);
/// What judge/ wrote behind the state in its headline ("spacing, probing; flatness not tested"), in
/// the language of the report; the state itself is verdict().
std::string headline(const ReportContext& context);
/// "−11.2 µm ± 2.1 µm (limit 30.0 µm)" of a value.
std::string value_words(const ReportContext& context, const JudgedValue& value);
/// What lies left and right of the limit that `proven` or `guarded` cannot call, mm.
double guard_width(const Session& session, const TestValue& value);

/// The usual cautions, one line each.
std::vector<std::string> cautions(const Language& language);
std::vector<std::string> cautions(const ReportContext& context);

}  // namespace rigproof
