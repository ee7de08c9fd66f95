// scan: files of points, strictly read. A Scan is facts about the file, a sample of some 400,000
// points for locating, and a second pass that gathers chosen regions at full resolution.
// Every format comes down to records of one stride, in the file or unpacked in memory (source.h);
// the first pass (survey.h) boxes and samples them, the second (gather.h) reads what meets a
// region. Enters: a path. Leaves: ScanFacts and Points in mm in the sensor frame; ply_writer.h
// writes them. Decides nothing.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/error.h"
#include "geometry/points.h"
#include "geometry/region.h"

namespace rigproof {

enum class ScalarType { text, float32, float64, integer };
std::string to_string(ScalarType type);

/// What the file says and holds. Coordinates here are in mm in the sensor frame.
struct ScanFacts {
  std::filesystem::path path;
  std::string format;  ///< e.g. "PLY binary little-endian", "STL binary"
  ScalarType scalar = ScalarType::text;
  std::uint64_t bytes = 0;
  std::string sha256;                   ///< of the file's bytes as they lie on disk, lower-case hex
  std::uint64_t points = 0;             ///< finite points
  std::uint64_t dropped = 0;            ///< NaN, infinite or beyond 3.4e38, left out
  std::uint64_t merged = 0;             ///< identical STL corners merged
  std::uint64_t faces = 0;              ///< > 0: a mesh, read by its vertices
  std::uint64_t columns = 0, rows = 0;  ///< organised grid where the file states one, else 0
  /// Bytes (text: lines) after all that the header declares, which were not read; 0 where they are
  /// less than a page of zeros, as exporters fill it.
  std::uint64_t trailing = 0;
  Box box;                            ///< of the finite points
  std::vector<std::string> comments;  ///< header comments, verbatim
  /// Transform written in the file or given by the session; applied only when rigid.
  bool transform_applied = false;
  /// ≠ 1: the transform was not applied (finding `scaled`): its scale, negative when it mirrors.
  double transform_scale = 1;
};

struct ScanOptions {
  double unit_mm = 1;             ///< millimetres per file unit
  RigidTransform to_sensor = {};  ///< after the unit: file axes to the sensor frame
  /// 4×4 row-major from [[scan]]; beats a transform in the file.
  std::optional<std::array<double, 16>> transform = std::nullopt;
  int threads = 0;  ///< 0: one per core
  std::size_t sample_target = 400'000;
  bool hash = true;
  /// open() does not wait for the hash: facts().sha256 stays empty, and Scan::sha256() waits.
  bool hash_in_background = false;
};

/// The header promises more than the file holds (finding `truncated`).
class TruncatedScan : public Error {
 public:
  TruncatedScan(const std::string& message, std::uint64_t promised, std::uint64_t delivered)
      : Error(ErrorKind::data, message, "Export it again."),
        promised_(promised),
        delivered_(delivered) {}
  std::uint64_t promised() const { return promised_; }
  std::uint64_t delivered() const { return delivered_; }

 private:
  std::uint64_t promised_, delivered_;
};

/// Wall seconds of the phases of opening and gathering.
struct ScanTimings {
  double open_s = 0, gather_s = 0;
};

/// An opened scan. Same file, same Scan, whatever the number of threads. Copies share the file.
class Scan {
 public:
  /// Reads the whole file once. Throws Error: missing (66) when it cannot be opened or is not a
  /// regular file, data (65) with line or byte when it is not what it claims to be.
  static Scan open(const std::filesystem::path& path, const ScanOptions& options = {});
  /// A scan made in memory (simulation, tests); mm, sensor frame.
  static Scan from_points(const Points& points, const std::string& name);

  const ScanFacts& facts() const;
  /// SHA-256 of the file, waiting for it when it is computed in the background; empty without one.
  const std::string& sha256() const;
  /// About `sample_target` finite points spread evenly through the file, in file order (all of them
  /// when there are fewer).
  const Points& sample() const;
  /// One result per region: every finite point inside, in file order, about an origin near the
  /// region's middle. Blocks of the file that meet no region are not read again.
  std::vector<Points> gather(std::span<const Region> regions) const;
  /// All finite points in file order.
  Points all() const;
  ScanTimings timings() const;

 private:
  struct State;
  std::shared_ptr<State> state_;
};

}  // namespace rigproof
