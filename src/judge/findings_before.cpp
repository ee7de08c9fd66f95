#include "judge/findings_parts.h"

namespace rigproof {
namespace {

using enum Severity;
using enum Scope;

}  // namespace

std::vector<FindingKind> findings_before() {
  return {
      // Identity
      {"rig-mismatch",
       stop,
       session,
       "These scans come from rig {found}, the session is for {expected}. · A verdict would be "
       "about the wrong machine. · Put the right scans into the session, or correct the serial in "
       "rig.toml if the rig was renamed.",
       {}},
      {"calibration-changed",
       stop,
       session,
       "The calibration is not the one of {where}: it changed since. · The {n} scans of that "
       "evaluation describe a calibration that no longer exists. · Start a new session with the "
       "present calibration.",
       {}},
      {"calibration-by-words",
       note,
       session,
       "The calibration is named in words (\"{words}\"), no file was given. · Nobody can check "
       "later which calibration this verdict is about. · Name the calibration file or folder in "
       "session.toml; it is only hashed.",
       {}},
      {"lens-lock-unknown",
       note,
       session,
       "It was not confirmed that focus and aperture are locked. · The result holds only for the "
       "lens setting that was scanned. · Lock the rings, mark them, and set lens_locked in "
       "rig.toml.",
       {}},
      {"same-person",
       note,
       session,
       "{name} both tested and authorised. · The customer should know that nobody else looked. · "
       "Let a second person authorise where the customer asks for it.",
       {}},

      // Artefact
      {"wrong-artefact",
       stop,
       scan,
       "{typed} should be {expected}; the scan measures {measured} and {match}. · Every value "
       "would carry the difference of two artefacts. · Check the "
       "engraving and name the artefact that was on the table.",
       {}},
      {"artefact-overdue",
       stop,
       session,
       "The calibration of {id} ran out {days} days ago. · Traceability is broken until it is "
       "recalibrated. · Have it recalibrated, or test with another artefact.",
       warn},
      {"artefact-weak",
       warn,
       session,
       "The {what} of {id} is {percent} % of your limit for {characteristic}. · Expect \"too close "
       "to call\": the artefact, not the scanner, decides. · Use an artefact with a better "
       "certificate.",
       {}},
      {"artefact-uncertified",
       warn,
       session,
       "{id} has no certificate; its size was typed in. · The result is not traceable to anything "
       "but that number. · Register the artefact with the numbers of its certificate.",
       {}},
      {"artefact-bump",
       warn,
       session,
       "Ball {ball} of {id} shows the same bump of {height} at one place in {n} scans, turning "
       "with the holder. · That is the ball, not the scanner, and it counts in the probing error. "
       "· Clean or replace the ball.",
       note},
      {"surface-bias",
       warn,
       session,
       "Every ball measures {difference} too {direction} but distances are right. · That is the "
       "surface or the exposure, not the calibration. · Dull the balls or change the exposure, and "
       "test again.",
       {}},
      {"coated",
       note,
       session,
       "{id} is declared as coated ({thickness}). · The coating adds to the diameter and voids the "
       "size error beyond its budget line. · Use a dull artefact where size matters.",
       {}},
      {"size-unsuited",
       warn,
       session,
       "{id} is {size}; this volume (diagonal {diagonal}) wants {wanted}. · Too small an artefact "
       "leaves too few independent points, too large a one too few places. · Choose another "
       "artefact with `rigproof plan`.",
       {}},
      {"balls-swapped",
       note,
       scan,
       "The balls of {id} were matched by diameter; the list had them the other way round. · "
       "Distances are the same, sizes would have been compared with the wrong ball. · Correct the "
       "list or the engraving.",
       {}},
      {"balls-alike",
       note,
       session,
       "The balls of {id} differ by only {difference}. · Which is which cannot be told from their "
       "size, so a reversed bar would go unseen. · Mark one ball if their sizes are judged.",
       {}},
      {"wrong-support",
       warn,
       session,
       "{id} stands on \"{support}\" but was calibrated on \"{calibrated}\". · Another support "
       "bends it by an amount that the certificate does not know. · Support it as the certificate "
       "says.",
       {}},

      // Environment
      {"warm-up",
       stop,
       session,
       "The length at {place} moved {change} between {first} and {last} (repeatability {u_fit}, "
       "limit {limit}). · The rig was still warming up or was touched: the first and the last scan "
       "tell of two different rigs. · Wait {minutes} minutes or more and repeat the session.",
       {}},
      {"not-soaked",
       warn,
       session,
       "{id} was still changing by about {change} ({why}). · A length that drifts during the test "
       "is read as an error of the scanner. · Leave it {hours} h beside the rig.",
       stop},
      {"temperature-corrected",
       note,
       session,
       "The lengths of {id} were corrected by {correction} for {temperature}, which adds {u} to "
       "the uncertainty. · Without the correction the artefact's growth would count as an error of "
       "the rig. · Nothing to do; test nearer to {reference} to make it smaller.",
       {}},
      {"temperature-missing",
       warn,
       session,
       "No temperature was given. · Assuming 20 ± 5 °C adds {u} to every length of {length}. · "
       "Put a thermometer on the artefact and write artefact_C into session.toml.",
       {}},
      {"temperature-room",
       note,
       session,
       "The room's temperature stands for the artefact's. · An artefact follows the room by hours; "
       "that is taken as ± {u_C} K and adds {u} to a length of {length}. · Measure on the artefact "
       "itself.",
       {}},
      {"temperature-jump",
       warn,
       session,
       "The temperature log moves by {rate} K/h at {time}. · Rig and artefact follow at different "
       "speeds. · Repeat the scans of that hour once the room is steady.",
       {}},
      {"vibration",
       warn,
       scan,
       "The noise of this scan is {ratio} times that of the rig. · Something moved while {scan} "
       "was "
       "taken. · Repeat it; keep hands and feet off the table.",
       {}},
  };
}

}  // namespace rigproof
