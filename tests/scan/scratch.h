#pragma once

#include <cstring>
#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>
#include <unistd.h>

namespace rigproof {

/// An empty folder for one test; tests of one name run side by side.
inline std::filesystem::path scratch(const std::string& name) {
  const auto folder = std::filesystem::path(testing::TempDir()) /
                      ("scan_" + name + "_" + std::to_string(::getpid()));
  std::filesystem::remove_all(folder);
  std::filesystem::create_directories(folder);
  return folder;
}

inline std::filesystem::path write_file(const std::filesystem::path& path,
                                        const std::string& bytes) {
  std::filesystem::remove(path);  // cutting an old file short would wait for the disk
  std::ofstream(path, std::ios::binary) << bytes;
  return path;
}

/// The bytes of numbers as they lie in memory.
template <class... T>
std::string raw(T... values) {
  std::string out;
  const auto add = [&](const auto& v) { out.append(reinterpret_cast<const char*>(&v), sizeof v); };
  (add(values), ...);
  return out;
}

/// The same, every number with its bytes reversed.
template <class... T>
std::string raw_big(T... values) {
  std::string out;
  const auto add = [&](const auto& v) {
    const std::string little = raw(v);
    out.append(little.rbegin(), little.rend());
  };
  (add(values), ...);
  return out;
}

}  // namespace rigproof
