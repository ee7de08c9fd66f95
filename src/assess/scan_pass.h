#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "assess/results.h"
#include "base/error.h"
#include "diagnose/observed.h"
#include "evidence/evidence.h"
#include "judge/positions.h"
#include "locate/recognise.h"

namespace rigproof {

/// What one scan is read and judged by.
struct ScanPassInput {
  std::filesystem::path path;
  std::string name;  ///< as results name it: relative to the session, forward slashes
  ScanOptions options;
  const std::vector<Artefact>* artefacts = nullptr;  ///< empty: whatever is there
  const Procedure* procedure = nullptr;
  const Rig* rig = nullptr;
  const Field* field = nullptr;  ///< nullptr: the volume is unknown
  const Environment* environment = nullptr;
  std::optional<Date> test_date;
  std::string named_artefact, place;  ///< from [[scan]], may be empty
  bool information = true;            ///< also what is no test value (minimum zones, …)
};

/// One scan from points to values; its points are dropped again.
struct ScanPass {
  ScanRecord record;
  std::optional<Error> failure;  ///< why the file could not be opened, where it could not
  std::vector<TestValue> values;
  std::vector<Finding> findings;
  std::vector<PlacedArtefact> placed;
  std::vector<ZoneNoise> ball_noise, plate_noise;  ///< pooled by the session pass
  std::vector<ObservedBall> balls;                 ///< read by the diagnosis, as are the plates
  std::vector<ObservedPlate> plates;
  ScanEvidence evidence;                  ///< pooled by the session pass
  std::map<std::string, double> timings;  ///< seconds: read, locate, fit
};

/// Read, locate, recognise, fit, evaluate. A file that cannot be used is a rejected record with its
/// finding, never an exception; the caller decides what that means.
ScanPass pass_scan(const ScanPassInput& input);

/// Every point belongs to one ball or plate: nothing is located or left out.
ScanPass pass_whole(const ScanPassInput& input, ArtefactKind kind);

}  // namespace rigproof
