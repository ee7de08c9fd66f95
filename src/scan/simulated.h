#pragma once

#include <string>
#include <vector>

namespace rigproof {

/// Whether a header comment of a file begins with the word "simulated", as those of the virtual rig
/// do: what no words of a session can take back.
bool says_simulated(const std::vector<std::string>& comments);

}  // namespace rigproof
