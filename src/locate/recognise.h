#pragma once

#include <optional>
#include <string>
#include <vector>

#include "inputs/artefact.h"
#include "locate/sighting.h"

namespace rigproof {

/// What to look for so that every registered artefact can be found. Diameters within 3 % of each
/// other are looked for once; a ball without a diameter asks for spheres of any size.
LocateRequest request_for(const std::vector<Artefact>& artefacts);

/// An artefact found in a scan: which ball or plate sighting plays which part.
struct Recognised {
  const Artefact* artefact = nullptr;
  std::vector<int> balls;  ///< index into Sighting::balls, in the order of artefact->balls
  int plate = -1;          ///< index into Sighting::plates
  /// Diameters fit the listed order the other way round; the list is taken to run from left to
  /// right (X, then Y, then Z). `balls` is already in the order that fits.
  bool swapped = false;
  double misfit = 0;  ///< largest relative deviation of a distance or diameter
};

struct Recognition {
  std::vector<Recognised> found;        ///< unique matches, best first
  std::vector<std::string> candidates;  ///< why it is not unique or complete, with numbers
  bool one_ball = false;                ///< a single ball that belongs to a bar
  bool ambiguous = false;
};

/// Which artefacts the scan shows, from lengths and sizes alone.
///
/// `tolerance` (2 %) tells candidates from each other; it must not hide a rig that measures badly:
/// - A bar or ball plate is recognised by its distances within the tolerance; its diameters may be
///   off by 15 %. Where several sets of balls or several bars fit, diameters within the tolerance
///   decide, and if they do not, it is ambiguous.
/// - Distances off by up to 15 % count when no other bar fits and one scale explains all distances
///   and known diameters (they agree within 3 % and within half the deviation): the rig's scale
///   is wrong. Right diameters at a wrong distance
///   are another bar, and are reported as that.
/// - A ball that no found bar uses is recognised by its diameter within the tolerance, or, when it
///   is the only ball and only one single-ball artefact comes within 15 %, by being the only one,
///   unless it has the size of a bar's ball.
/// - Plates are told apart by their sides, which are known to about 5 % (a torn rim), so 10 % is
///   asked there and twice the agreement of the next best.
/// Artefacts with more balls are sought first and a ball serves one artefact. `named` (a serial)
/// restricts the search to one artefact; another one that fits better is then named in
/// `candidates`.
Recognition recognise(const Sighting& sighting,
                      const std::vector<Artefact>& artefacts,
                      const std::string& named = {},
                      double tolerance = 0.02);

/// A plate of which only a part was seen: one of its sides within 5 %, the other between a fifth
/// and nine tenths. For scans in which nothing was recognised; `sighting` of a search for any
/// plate. nullopt unless one artefact and one sighting fit.
std::optional<Recognised> recognise_part_of_plate(const Sighting& sighting,
                                                  const std::vector<Artefact>& artefacts);

}  // namespace rigproof
