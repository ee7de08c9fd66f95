#pragma once

#include <string>

#include "assess/explanation.h"

namespace rigproof {

/// A page from raw points to verdict, in plain text. Lines "name = expression = number unit" can be
/// typed into a calculator: + - * / ^ sqrt() abs(), numbers as printed; the last number is what
/// they give. Every u is repeated in the table of the budget with its degrees of freedom.
std::string explanation_text(const Explanation& explanation);

}  // namespace rigproof
