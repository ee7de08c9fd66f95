#pragma once

#include <string>

namespace rigproof {

/// Shortest text that reads back to the same double; independent of the locale.
std::string exact(double value);
/// Fixed decimals with a point, whatever the locale; no negative zero.
std::string fixed(double value, int decimals);
/// "12.3 µm" from millimetres.
std::string micrometres(double mm, int decimals = 1);

}  // namespace rigproof
