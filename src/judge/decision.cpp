#include "judge/decision.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "base/number.h"
#include "evaluate/distribution.h"

namespace rigproof {
namespace {

constexpr double kOneSided95 = 1.645;

Verdict proven(double p, double wanted) {
  if (p >= wanted) return Verdict::within;
  return p <= 1 - wanted ? Verdict::outside : Verdict::undecided;
}

Verdict guarded(double off, double limit, double guard) {
  if (off <= limit - guard) return Verdict::within;
  return off > limit + guard ? Verdict::outside : Verdict::undecided;
}

}  // namespace

std::string to_string(Verdict verdict) {
  switch (verdict) {
    case Verdict::within:
      return "within";
    case Verdict::outside:
      return "outside";
    case Verdict::undecided:
      return "undecided";
    case Verdict::invalid:
      return "invalid";
  }
  return "unknown";
}

double probability_within(
    double e, double T, double u, bool signed_value, std::optional<double> dof) {
  if (!(u > 0)) return std::abs(e) <= T ? 1 : 0;
  const double below = error_cdf((T - e) / u, dof);
  if (!signed_value) return below;
  return std::max(0.0, below - error_cdf((-T - e) / u, dof));
}

Decision decide(const TestValue& value,
                double limit,
                const Limits& limits,
                const Procedure& procedure) {
  const double wanted = procedure.proven_probability;
  if (!(limit > 0) || !std::isfinite(limit) || !(limits.guard_mm >= 0))
    throw Error(
        ErrorKind::config,
        "limit of " + value.id + " is " + exact(limit) + " mm, guard " + exact(limits.guard_mm),
        "A limit is greater than zero and a guard not less than zero.");
  if (!(wanted > 0.5 && wanted < 1))
    throw Error(ErrorKind::config,
                "the probability of the rule \"proven\" is " + exact(wanted),
                "It lies between a half and one; 0.95 is usual.");
  Decision d;
  const double off = std::abs(value.value);
  d.limit = limit;
  d.ratio = off / limit;
  d.p_within = probability_within(value.value, limit, value.u, value.signed_value, value.dof);
  switch (limits.rule) {
    case DecisionRule::simple:
      d.verdict = off <= limit ? Verdict::within : Verdict::outside;
      break;
    case DecisionRule::proven:
      d.verdict = proven(d.p_within, wanted);
      break;
    case DecisionRule::guarded:
      d.verdict = guarded(off, limit, limits.guard_mm);
      break;
  }
  return d;
}

bool outside_beyond_doubt(const TestValue& value,
                          double limit,
                          const Limits& limits,
                          const Procedure& procedure) {
  const auto outside = [&](double T) {
    return decide(value, T, limits, procedure).verdict == Verdict::outside;
  };
  if (!outside(limit)) return false;
  const double least = value.u_fit / procedure.max_ufit_share;
  return std::abs(value.value) - limit > kOneSided95 * std::hypot(value.u, value.u_fit) ||
         (least > limit && outside(least));
}

}  // namespace rigproof
