#pragma once

#include <cstddef>
#include <string>

#include "base/error.h"

namespace rigproof {

/// Bytes of a text in any file of ours.
inline constexpr std::size_t kLongestLine = 2000;

/// Refuses what no file of ours could hold or no certificate should show: more than one line,
/// control characters and such as turn others or are not seen, invalid UTF-8, more bytes than that.
/// `what` is named in the Error of this kind.
void check_line(const std::string& what, const std::string& text, ErrorKind kind);

}  // namespace rigproof
