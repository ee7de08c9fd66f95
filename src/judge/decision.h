// judge: turns numbers and facts into decisions, findings and one session verdict.
// Enters: TestValues, facts, limits, procedure. Leaves: Decisions, Findings, SessionVerdict.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "evaluate/test_value.h"
#include "inputs/limits.h"
#include "inputs/procedure.h"

namespace rigproof {

enum class Verdict { within, outside, undecided, invalid };
std::string to_string(Verdict verdict);

/// One value against its limit.
struct Decision {
  double limit = 0, ratio = 0;  ///< ratio = |value| / limit
  double p_within = 0;
  Verdict verdict = Verdict::undecided;  ///< never invalid for one value
};

/// p(within) = F((T−e)/u) − F((−T−e)/u) signed, F((T−e)/u) for ranges; normal, or Student t for
/// finite ν (JCGM 106:2012, 7). u = 0 gives 0 or 1.
double probability_within(
    double e, double T, double u, bool signed_value, std::optional<double> dof);

/// By the rule of the limits, `guarded` with their w, `proven` with the procedure's probability.
/// Throws Error(config) for a limit, a guard or a probability that is none.
Decision decide(const TestValue& value,
                double limit,
                const Limits& limits,
                const Procedure& procedure);

/// Whether a value is outside however poorly it repeats: outside by the rule, and either
/// |value| − T > 1.645 √(u² + u_fit²), one-sided 95 %, or outside of the least limit that its
/// u_fit allows, and so of every smaller one. Makes the verdict monotone in the limit.
bool outside_beyond_doubt(const TestValue& value,
                          double limit,
                          const Limits& limits,
                          const Procedure& procedure);

}  // namespace rigproof
