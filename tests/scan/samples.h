#pragma once

#include <array>
#include <map>
#include <string>
#include <vector>

#include "scratch.h"

namespace rigproof {

using Xyz = std::vector<std::array<double, 3>>;

/// Four corners of a tetrahedron, exact in float; the same four in every file below.
inline const Xyz kCorners = {{0, 0, 0}, {1.5, 0, 0}, {0, 2.25, 0}, {0.5, 0.5, -3.125}};

inline std::string ply_header(const std::string& format, const std::string& rest) {
  return "ply\nformat " + format + " 1.0\n" + rest + "end_header\n";
}

inline std::string vertex_element(const std::string& type, std::size_t n = 4) {
  return "element vertex " + std::to_string(n) + "\nproperty " + type + " x\nproperty " + type +
         " y\nproperty " + type + " z\n";
}

/// Tightly packed PLY of floats.
inline std::string float_ply(const Xyz& points, const std::string& comments = {}) {
  std::string out =
      ply_header("binary_little_endian", comments + vertex_element("float", points.size()));
  for (const auto& p : points)
    for (const double v : p) out += raw(static_cast<float>(v));
  return out;
}

inline std::string pcd_header(const std::string& data) {
  return "# .PCD v0.7\nVERSION 0.7\nFIELDS x y z\nSIZE 4 4 4\nTYPE F F F\nCOUNT 1 1 1\nWIDTH 4\n"
         "HEIGHT 1\nVIEWPOINT 0 0 0 1 0 0 0\nPOINTS 4\nDATA " +
         data + "\n";
}

/// The 12 corners of a tetrahedron's faces.
inline constexpr int kFaces[4][3] = {{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}};

/// One small file a format, by name; each holds kCorners.
inline std::map<std::string, std::string> sample_files() {
  std::map<std::string, std::string> files;
  std::string little, big, doubles, text, stl(80, ' '), stl_text = "solid t\n", obj, off, csv, semi;
  stl += raw(std::uint32_t{4});
  for (const auto& [x, y, z] : kCorners) {
    const auto line = [&](const char* by) {
      return std::to_string(x) + by + std::to_string(y) + by + std::to_string(z);
    };
    little += raw(static_cast<float>(x), static_cast<float>(y), static_cast<float>(z));
    big += raw_big(static_cast<float>(x), static_cast<float>(y), static_cast<float>(z));
    doubles += raw(x, y, z);
    text += line(" ") + "\n";
    csv += line(",") + "\n";
    semi += line(";") + "\n";
    obj += "v " + line(" ") + "\n";
  }
  for (const auto& face : kFaces) {
    stl += raw(0.f, 0.f, 1.f);
    stl_text += " facet normal 0 0 1\n  outer loop\n";
    for (const int k : face) {
      const auto& [x, y, z] = kCorners[k];
      stl += raw(static_cast<float>(x), static_cast<float>(y), static_cast<float>(z));
      stl_text += "   vertex " + std::to_string(x) + " " + std::to_string(y) + " " +
                  std::to_string(z) + "\n";
    }
    stl += raw(std::uint16_t{0});
    stl_text += "  endloop\n endfacet\n";
    off += "3 " + std::to_string(face[0]) + " " + std::to_string(face[1]) + " " +
           std::to_string(face[2]) + "\n";
  }
  files["little.ply"] = ply_header("binary_little_endian", vertex_element("float")) + little;
  files["big.ply"] = ply_header("binary_big_endian", vertex_element("float")) + big;
  files["double.ply"] = ply_header("binary_little_endian", vertex_element("double")) + doubles;
  files["ascii.ply"] = ply_header("ascii",
                                  vertex_element("float") +
                                      "element face 4\nproperty list uchar int vertex_indices\n") +
                       text + off;
  files["ascii.pcd"] = pcd_header("ascii") + text;
  files["binary.pcd"] = pcd_header("binary") + little;
  files["binary.stl"] = stl;
  files["ascii.stl"] = stl_text + "endsolid t\n";
  files["mesh.obj"] = "# made by hand\n" + obj + "f 1 3 2\nf 1 2 4\nf 2 3 4\nf 1 4 3\n";
  files["mesh.off"] = "OFF\n4 4 6\n" + text + off;
  files["points.xyz"] = text;
  files["points.csv"] = "x,y,z\n" + csv;
  files["points.asc"] = "X;Y;Z\n" + semi;
  files["points.pts"] = "4\n" + text;
  return files;
}

}  // namespace rigproof
