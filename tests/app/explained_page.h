#pragma once

#include <string>

namespace rigproof {

/// Computes everything that a page of `explain` prints again with a calculator and fails where it
/// comes out otherwise: every equation, then u, ν, k, U, p and the verdict of the rule "proven".
void expect_computed_again(const std::string& page);

}  // namespace rigproof
