#pragma once

#include <string>

namespace rigproof {

std::string version();  ///< "0.1.0"
std::string build();    ///< compiler and word size, e.g. "g++ 12.2 x86-64"

}  // namespace rigproof
