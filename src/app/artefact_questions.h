#pragma once

#include <functional>

#include "app/add_command.h"
#include "inputs/artefact.h"

namespace rigproof {

/// Called with the name of the file as soon as it is known, so that nobody answers in vain.
using NameKnown = std::function<void(const std::string&)>;

/// A ball, a bar with two balls or more, or a plate: numbers as printed on the certificate.
Artefact ask_artefact(ArtefactKind kind,
                      const AddOptions& options,
                      Questions& questions,
                      const NameKnown& name_known);

}  // namespace rigproof
