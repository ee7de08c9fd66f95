#pragma once

#include <string>
#include <vector>

#include "diagnose/diagnosis.h"

namespace rigproof {

/// What a diagnosis says in a console: causes on one line, the first advice on the next.
std::vector<std::string> diagnosis_lines(const Diagnosis& diagnosis);

}  // namespace rigproof
