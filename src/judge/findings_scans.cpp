#include "judge/findings_parts.h"

namespace rigproof {
namespace {

using enum Severity;
using enum Scope;

}  // namespace

std::vector<FindingKind> findings_of_scans() {
  return {
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
      {"surplus",
       warn,
       scan,
       "{scan} goes on for {surplus} after all that its header declares. · That part was not read: "
       "with a wrong count, measured points are left out. · Export {scan} again.",
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
       "Only {seen}° of {ball} was seen ({why}). · Its centre is {factor} times less "
       "certain along the view than with {full}°. · Turn the ball or the rig, or shorten the "
       "exposure.",
       stop},
      {"fit-uncertain",
       stop,
       scan,
       "{characteristic} at {place} repeats only to {u_fit}, more than {share} of its limit "
       "{limit}. · Noise, not the rig, would decide. · Use a larger ball, a nearer place, or see "
       "more of the surface.",
       warn},
      {"holder-cut",
       note,
       scan,
       "{n} points near {ball} lie off its surface, as a holder would; cone left out: {cone}. "
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
       "A {size}° hole in the seen side of {ball}. · The highlight is saturated; points "
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
  };
}

}  // namespace rigproof
