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
};

/// `mm_per_unit`: one scale for the three views; see sketch_scale.
void draw(Canvas& canvas, const VolumeSketch& sketch, double width, double height, double scale);
/// Drawing units per mm with which every view of `volume` fits into width × height.
double sketch_scale(const Volume& volume, double width, double height);
/// Height and width of one view, drawing units.
Point2 sketch_size(const Volume& volume, View view, double scale);

}  // namespace rigproof
