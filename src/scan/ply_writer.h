#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "base/atomic_file.h"
#include "geometry/points.h"

namespace rigproof {

struct PlyOptions {
  bool doubles = false;                 ///< coordinates as 64-bit floats instead of 32-bit
  std::uint64_t columns = 0, rows = 0;  ///< organised grid (obj_info num_cols, num_rows), if any
  std::uint64_t faces = 0;              ///< triangles that follow the vertices
  std::vector<std::string> comments;    ///< one line each; line ends in them become blanks
};

/// A binary little-endian PLY, written as the points come and in place only once it is whole:
/// first `vertices` points, then the faces, then finish(). Throws Error(cannot_create), Error(io),
/// and Error(internal) when other numbers arrive than were announced.
class PlyWriter {
 public:
  PlyWriter(const std::filesystem::path& path,
            std::uint64_t vertices,
            const PlyOptions& options = {});
  /// Non-finite coordinates are written as they are, for the invalid pixels of a grid.
  void add(const Vec3& point);
  void add(const Points& points);
  void add_face(const std::array<std::uint32_t, 3>& corners);
  void finish();

 private:
  void flush_above(std::size_t bytes);

  AtomicFile file_;
  std::string buffer_;
  bool doubles_;
  std::uint64_t vertices_left_, faces_left_;
};

/// All points in one call.
void write_ply(const std::filesystem::path& path,
               const Points& points,
               const PlyOptions& options = {});

}  // namespace rigproof
