#pragma once

#include <string>

namespace rigproof::planted {

/// docs/findings.md: every row of the findings table with the session that raises it.
std::string findings_page();

}  // namespace rigproof::planted
