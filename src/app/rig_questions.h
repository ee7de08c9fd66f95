#pragma once

#include "app/add_command.h"
#include "inputs/rig.h"

namespace rigproof {

/// A rig and one field of view. With options.keep an existing rig file gives all that is not named
/// here, and the field joins or replaces one of its fields.
Rig ask_rig(const AddOptions& options,
            Questions& questions,
            const std::function<void(const std::string&)>& name_known);

}  // namespace rigproof
