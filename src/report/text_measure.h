#pragma once

#include <string>
#include <string_view>

#include "report/canvas.h"

namespace rigproof {

/// Family in which every drawing is measured and PDF pages are set. The HTML pages' own families
/// are no wider.
inline constexpr const char* kFontFamily = "DejaVu Sans";

/// Width of one line of plain text, measured by pango. Throws Error(internal) when no font loads
/// (pango would report success and measure nothing).
double text_width(std::string_view text, const TextStyle& style);

/// `text` with its middle replaced by "…" until it is no wider than `width`.
std::string shortened(const std::string& text, double width, const TextStyle& style);

}  // namespace rigproof
