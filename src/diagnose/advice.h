#pragma once

#include "diagnose/diagnose.h"

namespace rigproof {

/// What a person can do, in plain words, the most useful first. Each line is "what to do · its
/// evidence", in parts between " · ": first what spoils a diagnosis (a rig that warms up, motion,
/// artefacts that are not soaked), then the calibration, then surface and exposure, then evidence
/// that is missing.
std::vector<std::string> advice(const DiagnosisInput& input,
                                const DiagnosisModel& model,
                                const Diagnosis& diagnosis);

/// What a fault is, with its sign: "the board was warmer than believed by 4.1 ± 0.5 K".
std::string in_words(const Cause& cause);

/// Zones to show the board in for a fault, by its pattern and the places that lack evidence or
/// views of the board.
std::vector<std::string> zones_to_show(const std::string& fault,
                                       const std::map<std::string, int>& views_per_zone);

}  // namespace rigproof
