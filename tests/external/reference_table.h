#pragma once

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/points.h"
#include "shared_data.h"

namespace rigproof::reference {

/// A comma-separated table with '#' comments and one line of column names.
struct Table {
  std::vector<std::string> columns;
  std::vector<std::vector<std::string>> rows;

  std::size_t column(const std::string& name) const {
    for (std::size_t k = 0; k < columns.size(); ++k)
      if (columns[k] == name) return k;
    ADD_FAILURE() << "no column " << name;
    return 0;
  }
  const std::string& text(std::size_t row, const std::string& name) const {
    return rows.at(row).at(column(name));
  }
  double number(std::size_t row, const std::string& name) const {
    return std::strtod(text(row, name).c_str(), nullptr);
  }
  Points points(const std::string& x = "x",
                const std::string& y = "y",
                const std::string& z = "z") const {
    Points p;
    for (std::size_t i = 0; i < rows.size(); ++i)
      p.push_local(number(i, x), number(i, y), z.empty() ? 0 : number(i, z));
    return p;
  }
};

inline Table read(const std::filesystem::path& path) {
  std::ifstream in(path);
  EXPECT_TRUE(in) << path;
  Table table;
  for (std::string line; std::getline(in, line);) {
    if (line.ends_with('\r')) line.pop_back();
    if (line.empty() || line[0] == '#' || line[0] == '"') continue;
    std::vector<std::string> cells;
    std::istringstream split(line);
    for (std::string cell; std::getline(split, cell, ',');) cells.push_back(cell);
    if (table.columns.empty())
      table.columns = cells;
    else
      table.rows.push_back(cells);
  }
  EXPECT_FALSE(table.rows.empty()) << path;
  return table;
}

/// A table of facts that stands in tests/external/tables.
inline Table table(const std::string& name) {
  return read(std::filesystem::path(RIGPROOF_SOURCE_DIR) / "tests/external/tables" / name);
}

// Two readers for files known to be whole; the program's own readers have tests of their own.

/// Binary PLY whose vertices are three floats.
inline Points read_ply(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::size_t count = 0;
  for (std::string line; std::getline(in, line) && line != "end_header";)
    if (line.starts_with("element vertex ")) count = std::stoul(line.substr(15));
  Points points;
  for (std::size_t i = 0; i < count; ++i) {
    float v[3];
    in.read(reinterpret_cast<char*>(v), sizeof v);
    points.push_local(v[0], v[1], v[2]);
  }
  EXPECT_TRUE(in) << path;
  return points;
}

/// ASCII PLY: points by the integer in the last property, coordinates as written.
inline std::map<int, Points> read_ascii_ply(const std::filesystem::path& path) {
  std::ifstream in(path);
  std::map<int, Points> sets;
  std::string line;
  while (std::getline(in, line) && line != "end_header") {
  }
  while (std::getline(in, line)) {
    std::vector<double> v;
    const char* at = line.c_str();
    for (char* end = nullptr;; at = end) {
      const double value = std::strtod(at, &end);
      if (end == at) break;
      v.push_back(value);
    }
    if (v.size() > 3) sets[static_cast<int>(v.back())].push_local(v[0], v[1], v[2]);
  }
  EXPECT_FALSE(sets.empty()) << path;
  return sets;
}

}  // namespace rigproof::reference
