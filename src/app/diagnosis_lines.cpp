#include "app/diagnosis_lines.h"

#include <fmt/format.h>

#include "diagnose/advice.h"

namespace rigproof {

std::vector<std::string> diagnosis_lines(const Diagnosis& d) {
  if (!d.ran) return {"  diagnosis: not run, too little was measured"};
  std::vector<std::string> out;
  std::string line;
  for (const Cause& c : d.causes)
    line += (line.empty() ? "" : d.two_faults ? "; with " : "; or ") + in_words(c);
  out.push_back("  diagnosis: " + (d.clean ? "no calibration fault stands out of the uncertainty"
                                   : d.causes.empty()
                                       ? "no cause of possible size explains the values"
                                       : line));
  if (!d.advice.empty()) out.push_back("  advice: " + d.advice.front());
  return out;
}

}  // namespace rigproof
