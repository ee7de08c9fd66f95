#pragma once

#include "app/add_command.h"
#include "inputs/limits.h"

namespace rigproof {

/// Limits agreed beforehand; only what is named is judged.
Limits ask_limits(const AddOptions& options,
                  Questions& questions,
                  const std::function<void(const std::string&)>& name_known);

}  // namespace rigproof
