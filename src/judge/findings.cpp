#include "judge/finding.h"

namespace rigproof {
namespace {

using enum Severity;
using enum Scope;

}  // namespace

// The one findings table. Texts have three parts: what · why it matters · what to do. Lengths in
// the values carry their unit; {scan} is a file relative to the session.
const std::vector<FindingKind>& finding_table() {
  static const std::vector<FindingKind> table{
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
       "{typed} should be {expected}; the scan measures {measured} and fits {other} "
       "({other_size}). · Every value would carry the difference of two artefacts. · Check the "
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

      // File
      {"unit-mismatch",
       stop,
       scan,
       "The {what} fits as {measured}, expected {nominal}: {factor}. · These look like {unit}, "
       "and a guessed unit must not reach a verdict. · Declare it: {command}",
       {}},
      {"points-dropped",
       note,
       scan,
       "{n} points of {scan} are not numbers and were left out ({percent} % of its points). · "
       "Holes that the scanner marks this way are normal; many of them hide part of the surface. · "
       "Look at the exposure if the share is large.",
       warn},
      {"truncated",
       stop,
       scan,
       "{detail} · Part of the measurement is missing. · Export {scan} again.",
       {}},
      {"unreadable",
       stop,
       scan,
       "{detail} · Nothing in this file can be trusted. · {next_step}",
       {}},
      {"is-mesh",
       warn,
       session,
       "{files} hold faces: meshes, read by their {n} vertices. · Meshing smooths and fills, so "
       "that the test sees the software and not the sensor. · Export points, or declare export = "
       "\"mesh\" in rig.toml.",
       note},
      {"coarse-coordinates",
       warn,
       session,
       "Coordinates are rounded to {step}, which alone adds {u}. · Steps become form error. · "
       "Export more digits, or a binary format.",
       {}},
      {"mirrored",
       stop,
       session,
       "Left and right are swapped: {detail}. · A mirrored export, or the places were named from "
       "the other side; advice about places would point to the wrong side. · Correct the axes in "
       "rig.toml, or the places.",
       {}},
      {"still-growing",
       note,
       scan,
       "{scan} is still being written. · Half a file is not a measurement. · It is read as soon as "
       "it rests.",
       {}},
      {"far-origin",
       note,
       scan,
       "The points lie {distance} from the origin but span only {size}. · Such coordinates lose "
       "digits in the file, and directions to the sensor are unknown. · Export in the sensor's own "
       "frame.",
       {}},

      // Geometry and coverage
      {"short-cap",
       warn,
       scan,
       "Only {seen}° of the ball {ball} was seen ({why}). · Its centre is {factor} times less "
       "certain along the view than with {full}°. · Turn the ball or the rig, or shorten the "
       "exposure.",
       stop},
      {"fit-uncertain",
       stop,
       scan,
       "{characteristic} at {place} repeats only to {u_fit}, more than {share} of its limit "
       "{limit}. · Noise, not the rig, would decide. · Use a larger ball, a nearer place, or see "
       "more of the surface.",
       {}},
      {"holder-cut",
       note,
       scan,
       "{n} points near ball {ball} lie off its surface, as a holder would; cone left out: {cone}. "
       "· They are outside the evaluation zone and do not count. · Declare the holder's cone if it "
       "reaches into the seen side.",
       {}},
      {"one-ball",
       stop,
       scan,
       "Only one ball of {id} is in this scan ({found}). · A distance needs both. · Move the bar "
       "into the field and repeat the scan.",
       {}},
      {"too-few-points",
       stop,
       scan,
       "{what} has {n} points, {least} are needed. · So few points hide both noise and form. · "
       "Bring it nearer, raise the resolution, or use a larger artefact.",
       {}},
      {"zone-unsettled",
       warn,
       scan,
       "The evaluation zone of {what} still changed after {rounds} rounds. · Clutter touches the "
       "surface, and which points count is not sharp. · Clear the surroundings of the artefact and "
       "repeat the scan.",
       {}},
      {"fit-failed",
       stop,
       scan,
       "{what} could not be fitted: {why}. · There is no value from this scan. · Look at the scan "
       "with `rigproof look {scan}` and repeat it.",
       {}},
      {"hole",
       warn,
       scan,
       "A {size}° hole in the seen side of ball {ball}. · The highlight is saturated; points "
       "around it are pulled. · Shorten the exposure or dull the ball.",
       {}},
      {"strip-plate",
       warn,
       scan,
       "Only {length} × {width} of plate {id} was seen. · A strip says little about flatness "
       "across it. · Bring the whole plate into the field.",
       {}},
      {"giant-sphere",
       stop,
       scan,
       "The best \"ball\" has a radius of {radius}. · That is a flat or gently curved surface, not "
       "an artefact. · Check that the ball is in the field and not over-exposed.",
       {}},
      {"ambiguous",
       stop,
       scan,
       "{candidates} · Only you can know which is the artefact. · Say which: artefact = \"…\" for "
       "{scan} in session.toml, or clear the others away.",
       {}},
      {"nothing-found",
       stop,
       scan,
       "No registered artefact was found. {found} · Without an artefact there is nothing to "
       "measure. · Check the field of view, the unit and the list of artefacts.",
       {}},

      // Evidence of processing
      {"smoothed",
       warn,
       session,
       "Neighbouring points agree over {length} point spacings, more than {than}, though filter = "
       "\"{declared}\". · Smoothed data look better than the sensor is. · Switch "
       "the filter off, or declare it in rig.toml.",
       note},
      {"thinned",
       warn,
       session,
       "Points keep a distance of {spacing}, as after thinning. · Fewer points make form and "
       "flatness look smaller. · Export every point, or declare it in rig.toml.",
       {}},
      {"tails-cut",
       warn,
       session,
       "Deviations end sharply at {cut}. · The points that should count as errors were removed. · "
       "Switch off outlier removal, or declare it in rig.toml.",
       {}},
      {"too-perfect",
       stop,
       session,
       "These points lie on a mathematically perfect {what} ({scatter}). · This is not measured "
       "data. · Put the scanner's own export into the session.",
       {}},
      {"scaled",
       stop,
       session,
       "The transform in {scan} has the scale {scale}. · Scaled points hide exactly the error that "
       "the test looks for; the transform was not applied. · Export without scaling.",
       {}},

      // Optics
      {"two-shells",
       stop,
       scan,
       "Two layers {distance} apart on {what}. · Two exposures in this scan do not agree: "
       "something moved between them. · Repeat the scan.",
       {}},
      {"duplicate-points",
       note,
       scan,
       "{n} of {looked_at} points of {scan} that were compared occur twice ({percent} %). · "
       "Repeated points weigh double in the "
       "fit. · Export single measurements.",
       warn},
      {"outliers-above-allowance",
       warn,
       scan,
       "{percent} % of {what} stand off the surface, {allowed} % may be left out; the rest count. "
       "· They are the scanner's error and dominate {characteristic}. · Look at exposure, "
       "reflections and surface.",
       {}},
      {"ripple",
       warn,
       scan,
       "A {period} ripple of {amplitude} on {what}. · Saturation, motion or a lost camera "
       "calibration leave fringes in the surface. · Check exposure and mounting before "
       "recalibrating.",
       {}},
      {"noise-uneven",
       warn,
       session,
       "Noise is {ratio} times higher {where} than the distance explains. · Focus, aperture or "
       "vignetting differ over the field. · Check the focus of both cameras and the projector.",
       {}},

      // Placement
      {"outside-volume",
       warn,
       scan,
       "{what} reaches {distance} out of the measuring volume. · The limits hold inside; this scan "
       "does not count as a position. · Move it inwards and repeat the scan.",
       {}},
      {"position-missing",
       note,
       session,
       "{done} of {needed} {kind} positions done. Missing: {missing}, about {minutes} minutes. · "
       "The plan is what makes the volume tested and not a corner of it. · Scan what is missing.",
       {}},
      {"clustered",
       warn,
       session,
       "{share} lies in the {where} third. · The rest of the volume is not "
       "tested. · Spread the positions as `rigproof plan` shows.",
       {}},
      {"direction-missing",
       warn,
       session,
       "No bar leans more than {lean}° in depth: the depth scale is tested to {ppm}. · An error "
       "along the depth can hide. · A bar of {bar} would stand in the depth of this volume and "
       "test "
       "it fully.",
       {}},
      {"same-measurement",
       stop,
       session,
       "{first} and {second} are one measurement, moved or renamed. · A position was counted that "
       "nobody measured. · Remove one and scan the position.",
       {}},
      {"place-relabelled",
       note,
       scan,
       "{scan} was named {named}, it lies at {found}. · Advice and plan follow where it lies. · "
       "Correct the place in session.toml if the name was meant.",
       {}},

      // Decision and integrity
      {"limit-missing",
       note,
       session,
       "{characteristic} has no limit. · Its values are printed without a verdict. · Add a limit "
       "to limits.toml before the next session if it should be judged.",
       {}},
      {"limits-after-scans",
       warn,
       session,
       "The limits are dated {limits_date}, after the first scan ({scan_date}). · Limits chosen "
       "with the result in hand prove nothing. · Agree on limits before scanning.",
       {}},
      {"rule-after-scans",
       warn,
       session,
       "The decision rule changed from \"{earlier}\" to \"{rule}\" since {where}. · Who carries "
       "the burden of "
       "proof must be settled beforehand. · Agree on the rule before scanning.",
       {}},
      {"uncertainty-ignored",
       warn,
       session,
       "Under the rule \"simple\" U is up to {percent} % of the limit ({characteristic}, {scan}). "
       "· "
       "The rule leaves U out: so near to its limit a value may lie on either side. · Use a better "
       "certificate or a thermometer on the artefact, or agree on the rule \"proven\" before the "
       "next session.",
       {}},
      {"one-scan-drives",
       warn,
       session,
       "Without {scan} the verdict would be {other}. · One scan decides; it still counts. · Repeat "
       "that position before acting on the verdict.",
       {}},
      {"retest",
       note,
       session,
       "{scan} was repeated under the retest rule ({reason}). · Both are printed; the repeat "
       "counts. · Nothing to do.",
       {}},
      {"withdrawn",
       note,
       scan,
       "{scan} was withdrawn: {reason} · It stays on the record and gives no value. · Nothing to "
       "do.",
       {}},
      {"scan-edited",
       stop,
       session,
       "{scan} is not the file that was assessed: its hash differs. · The verdict is about other "
       "points. · Restore the original file.",
       {}},
      {"certificate-edited",
       stop,
       session,
       "{file} is not the document that was sealed: its hash differs. · Its words may differ from "
       "the results. · Ask the issuer for the original.",
       {}},
      {"unknown-signer",
       warn,
       session,
       "The seal was made with a key that is not trusted here ({key}). · Anyone can make a seal; "
       "only a known key says who. · Compare the key with the issuer by another way.",
       {}},
      {"raw-missing",
       warn,
       session,
       "The raw file of {scan} is not here. · Values can be recomputed only from the cut-outs. · "
       "Ask the issuer for the raw scans if that matters.",
       {}},
      {"other-version",
       note,
       session,
       "Computed again with version {version} instead of {sealed}; the largest difference is "
       "{difference}. · Versions may differ in the last digits. · Nothing to do while the "
       "difference is far below the uncertainty.",
       {}},
      {"clock-odd",
       warn,
       session,
       "{detail} · Order and dates of the scans cannot be trusted. · Set the clock of the "
       "computer.",
       {}},
  };
  return table;
}

}  // namespace rigproof
