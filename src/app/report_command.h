#pragma once

#include "app/command.h"

namespace rigproof {

/// `report`: the documents of a session again from its results.json, in another language or other
/// units; nothing is evaluated and no scan is read.
Command report_command();

}  // namespace rigproof
