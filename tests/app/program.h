#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

namespace rigproof {

struct ProgramRun {
  int code = -1;  ///< exit code; 128 + signal when killed
  std::string out, err;
  nlohmann::json json() const { return nlohmann::json::parse(out); }
};

/// What befalls a run.
struct Mishap {
  int signal = 0, after_us = 0;    ///< 0: none
  unsigned long largest_file = 0;  ///< bytes that any file may reach, as on a full disk; 0: no end
  std::function<void()> meanwhile = {};  ///< done before the signal, beside the program
  unsigned long memory_kib = 0;          ///< of address space; 0: no end
};

/// Runs the built program with these arguments in `folder`, without a terminal; with a delay it
/// gets SIGINT after that many milliseconds.
ProgramRun run_program(const std::vector<std::string>& arguments,
                       const std::filesystem::path& folder = ".",
                       int interrupt_after_ms = 0);
ProgramRun run_program(const std::vector<std::string>& arguments,
                       const std::filesystem::path& folder,
                       const Mishap& mishap);

/// The same on a system that fails: a fault of faulty_system.c.
ProgramRun run_faulty(const std::string& fault,
                      const std::vector<std::string>& arguments,
                      const std::filesystem::path& folder);

/// A fresh folder for one test.
std::filesystem::path scratch_folder(const std::string& name);

/// Rows of a comma-separated table with a header line; lines starting with # are left out.
std::vector<std::vector<std::string>> read_rows(const std::filesystem::path& file);

}  // namespace rigproof
