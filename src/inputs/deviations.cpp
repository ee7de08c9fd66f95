#include <fmt/format.h>

#include "inputs/procedure.h"

namespace rigproof {

std::vector<std::string> printed_deviations(const Procedure& p) {
  const Procedure usual;
  std::vector<std::string> out = p.deviations;
  if (p.proven_probability != usual.proven_probability)
    out.push_back(
        fmt::format("The rule \"proven\" asks for a probability of {:g} %; the {:g} % of ISO "
                    "14253-1:2017 are usual.",
                    100 * p.proven_probability,
                    100 * usual.proven_probability));
  if (!p.retest.empty() && p.retest_repeats != usual.retest_repeats)
    out.push_back(fmt::format("Repeats that the retest rule asks for: {}; usual are {}.",
                              p.retest_repeats,
                              usual.retest_repeats));
  return out;
}

}  // namespace rigproof
