#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scan/source.h"

namespace rigproof {

struct PlyProperty {
  std::string name;
  Numeric type = Numeric::f32;
  std::optional<Numeric> list_count;  ///< a list: the type of its length
};

struct PlyElement {
  std::string name;
  std::uint64_t count = 0;
  std::vector<PlyProperty> properties;

  bool has_list() const;
  /// Bytes of a record in a binary file; of the fixed part when there are lists.
  std::uint64_t fixed_size() const;
};

struct PlyHeader {
  enum class Format { ascii, little, big } format = Format::ascii;
  std::vector<PlyElement> elements;
  std::size_t vertex = 0;               ///< index of the element "vertex"
  std::array<std::size_t, 3> xyz = {};  ///< indices of its properties x, y, z
  std::vector<std::string> comments;    ///< comment and obj_info lines without their first word
  std::uint64_t columns = 0, rows = 0;  ///< obj_info num_cols, num_rows
  std::optional<std::array<double, 16>> transform;
  std::uint64_t size = 0;  ///< bytes up to and with the line end of end_header
};

/// Throws Error(data) with the line.
PlyHeader parse_ply_header(const SourceInput& input);

}  // namespace rigproof
