#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "scan/bytes.h"
#include "scan/layout.h"
#include "scan/scan.h"

namespace rigproof {

/// What a format reader is given: unpacked bytes and what the name says.
struct SourceInput {
  std::filesystem::path path;
  std::shared_ptr<const Bytes> bytes;
  std::string extension;      ///< lower case, with the dot, without ".gz"
  std::string head;           ///< the first bytes, at most kHead
  std::uint64_t on_disk = 0;  ///< bytes of the file itself, packed or not
  int threads = 0;
  static constexpr std::size_t kHead = 256u << 10;
};

/// What every format comes down to: `count` points of one stride, in the file or in memory. Values
/// are in file units relative to `origin`; non-finite ones are still among them.
struct PointTable {
  std::shared_ptr<const Bytes> bytes = nullptr;
  std::uint64_t start = 0;
  std::uint64_t count = 0;
  Layout layout = {};
  Vec3 origin = Vec3::Zero();
  bool keep_origin = false;  ///< the sample is given about `origin` too
};

/// A parsed file: its points and the part of ScanFacts that only the format knows.
struct Source {
  PointTable points;
  ScanFacts facts;
  std::optional<std::array<double, 16>> transform;  ///< written in the file
};

/// Decides the format (content first, then extension) and parses it. Throws Error(data).
Source read_source(const SourceInput& input);

// One a format, called by read_source.
Source read_ply(const SourceInput& input);
Source read_pcd(const SourceInput& input);
Source read_stl_binary(const SourceInput& input);
Source read_stl_ascii(const SourceInput& input);
Source read_obj(const SourceInput& input);
Source read_off(const SourceInput& input);
Source read_table(const SourceInput& input);

/// count · size, at most 2^64 − 1: for comparing what a header promises with what a file can hold.
std::uint64_t saturated_product(std::uint64_t count, std::uint64_t size);

/// The most that a file of so many bytes on disk may unpack to, whatever packings lie one inside
/// the other: 200 times as much, at least 64 MiB, at most half of the machine's memory.
std::uint64_t most_unpacked(std::uint64_t on_disk);

/// Error(data) "path: what".
[[noreturn]] void refuse(const SourceInput& input,
                         const std::string& what,
                         const std::string& next_step = "Export the scan again.");
/// Error(data) "path:line: what".
[[noreturn]] void refuse_line(const SourceInput& input,
                              std::uint64_t line,
                              const std::string& what,
                              const std::string& next_step = "Export the scan again.");
/// TruncatedScan "path: file promises 5000 points and delivers 3021".
[[noreturn]] void refuse_truncated(const SourceInput& input,
                                   std::uint64_t promised,
                                   std::uint64_t delivered,
                                   const std::string& what = "points");

}  // namespace rigproof
