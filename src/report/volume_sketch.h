#pragma once

#include "report/canvas.h"
#include "report/scene.h"

namespace rigproof {

enum class View { front, top, side };

/// A flat view of the measuring volume with every artefact where it was found: front as seen from
/// behind the rig (left is left), top from above with the rig below, side from the right with the
/// rig at the left.
struct VolumeSketch {
  View view = View::front;
  Volume volume;
  std::vector<PlacedPiece> pieces;
  std::string title;
  bool labels = true;
  Ink ink = Ink::mark;  ///< of what counts
};

/// `mm_per_unit`: one scale for the three views; see sketch_scale.
void draw(Canvas& canvas, const VolumeSketch& sketch, double width, double height, double scale);
/// What a sketch must show: a box about the middle of `volume` that also holds pieces which stick
/// out of it; at most 1.6 times the volume, so that one that is far off does not make all small.
Volume sketch_room(const Volume& volume, const std::vector<PlacedPiece>& pieces);
/// Drawing units per mm with which every view of `room` fits into width × height.
double sketch_scale(const Volume& room, double width, double height);
/// Width and height of one view, drawing units.
Point2 sketch_size(const Volume& room, View view, double scale);

}  // namespace rigproof
