#pragma once

#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>
#include <stdlib.h>

#include "app/program.h"

namespace rigproof {

namespace fs = std::filesystem;
inline void put(const fs::path& file, const std::string& content) {
  std::ofstream(file, std::ios::binary) << content;
}

/// Three scans, assessed and sealed once for the whole file; tests work on copies.
struct Sealed {
  fs::path dir, home, session;
  int verdict = -1;

  static const Sealed& get() {
    static const Sealed made = [] {
      Sealed s;
      s.dir = scratch_folder("sealed");
      s.home = s.dir / "home";
      s.session = s.dir / "session";
      ::setenv("RIGPROOF_HOME", s.home.c_str(), 1);
      run_program(
          {"demo", "--procedure", "interim", "--points", "40000", "--out", "session", "--quiet"},
          s.dir);
      fs::remove_all(s.session / "out");
      put(s.session / "limits.toml",
          "set_by = \"test\"\ndate = 2026-01-01\nrule = \"proven\"\n[mm]\nprobing_form = 0.3\n"
          "probing_size = 0.1\nsphere_spacing = 0.1\nflatness = 0.3\n");
      s.verdict = run_program({"assess", "session", "--quiet"}, s.dir).code;
      const ProgramRun seal =
          run_program({"seal", "session", "--key", "lab.key", "--by", "A. Name"}, s.dir);
      EXPECT_EQ(seal.code, 0) << seal.err;
      return s;
    }();
    ::setenv("RIGPROOF_HOME", made.home.c_str(), 1);
    return made;
  }
  fs::path copy(const std::string& name) const {
    const fs::path to = dir / name;
    fs::remove_all(to);
    fs::copy(session, to, fs::copy_options::recursive);
    return to;
  }
};

}  // namespace rigproof
