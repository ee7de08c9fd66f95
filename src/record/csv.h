#pragma once

#include <string>
#include <vector>

namespace rigproof {

/// A text as a cell (RFC 4180 quoting); what a spreadsheet would run as a formula gets a leading
/// apostrophe. Numbers need none of it.
std::string csv_text(const std::string& raw);
/// A line of finished cells.
std::string csv_row(const std::vector<std::string>& cells);

}  // namespace rigproof
