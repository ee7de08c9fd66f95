#pragma once

#include <functional>
#include <optional>
#include <string>

#include "geometry/points.h"
#include "inputs/session.h"
#include "simulate/truth.h"

// What can be done by hand to scans that the virtual rig has made.

namespace rigproof::planted {

/// Rewrites scan `index` with every point changed or (nullopt) left out; float, binary.
void change_points(const Session& session,
                   std::size_t index,
                   const std::function<std::optional<Vec3>(const Vec3&)>& change);
/// Appends every n-th point once more.
void repeat_points(const Session& session, std::size_t index, std::size_t every);
/// Appends a round cap towards the sensor, half a millimetre between its points.
void add_cap(const Session& session, std::size_t index, const Sphere& sphere, double width);
/// Puts a comment into the header of every scan.
void add_comment(const Session& session, const std::string& comment);

/// Halves the number of points that the header of scan `index` declares; all stay in the file.
void declare_half(const Session& session, std::size_t index);

/// Index of the first scan that shows a bar, a plate, a single ball.
std::size_t first_bar(const Truth& truth);
std::size_t first_plate(const Truth& truth);
std::size_t first_ball(const Truth& truth);
/// Whether p is within `gate` mm of a true ball's surface.
bool on(const TrueFeature& ball, const Vec3& p, double gate = 1);

}  // namespace rigproof::planted
