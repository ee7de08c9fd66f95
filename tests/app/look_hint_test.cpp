// What `look` says of scans in another unit and of a bar with other balls. The demo bar is 250.0123
// mm long with balls of 30 mm.
#include <cstring>
#include <fstream>
#include <iterator>

#include <gtest/gtest.h>

#include "app/program.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

const std::string kDemoBar = std::string(RIGPROOF_SOURCE_DIR) + "/demo_scans/bar-250.ply";

/// The demo bar with every coordinate divided: a binary PLY of floats after its header.
void write_divided(const fs::path& file, float by) {
  std::ifstream in(kDemoBar, std::ios::binary);
  std::string bytes((std::istreambuf_iterator<char>(in)), {});
  for (std::size_t at = bytes.find("end_header\n") + 11; at + 4 <= bytes.size(); at += 4) {
    float value;
    std::memcpy(&value, &bytes[at], 4);
    value /= by;
    std::memcpy(&bytes[at], &value, 4);
  }
  std::ofstream(file, std::ios::binary) << bytes;
}

/// The text of the one finding of a look that finds nothing.
std::string said(const std::vector<std::string>& line, const std::string& id) {
  const ProgramRun run = run_program(line);
  EXPECT_EQ(run.code, 3) << run.err;
  const auto findings = run.json()["findings"];
  if (findings.size() != 1 || findings[0]["id"] != id) {
    ADD_FAILURE() << findings;
    return "";
  }
  return findings[0]["text"];
}

TEST(LookHint, ABarOfUnknownBallsInInchesIsToldByItsLength) {
  const fs::path dir = scratch_folder("inches");
  write_divided(dir / "bar.ply", 25.4F);
  const std::string text =
      said({"look", dir / "bar.ply", "--bar", "250", "--json"}, "unit-mismatch");
  EXPECT_NE(text.find("fits as 9.843 mm, expected 250.000 mm: 25.4 times too small"),
            std::string::npos)
      << text;
  EXPECT_TRUE(text.ends_with("--units inch, or units = \"inch\" in rig.toml")) << text;
  const ProgramRun declared =
      run_program({"look", dir / "bar.ply", "--bar", "250", "--units", "inch", "--json"});
  EXPECT_EQ(declared.code, 0) << declared.err;
  EXPECT_EQ(declared.json()["features"].size(), 2u);
}

TEST(LookHint, APlateInMetresIsToldByItsSides) {
  const fs::path dir = scratch_folder("metres");
  std::ofstream out(dir / "plate.xyz");
  for (int i = 0; i <= 150; ++i)
    for (int j = 0; j <= 100; ++j)  // 300 × 200 mm with a ripple of 20 µm
      out << (-150 + 2 * i) / 1000.0 << " " << (-100 + 2 * j) / 1000.0 << " "
          << 0.6 + 2e-5 * ((i * 7 + j * 13) % 11) / 11 << "\n";
  out.close();
  const std::string text =
      said({"look", dir / "plate.xyz", "--plate", "300x200", "--json"}, "unit-mismatch");
  EXPECT_NE(text.find("1000 times too small"), std::string::npos) << text;
  EXPECT_TRUE(text.ends_with("--units m, or units = \"m\" in rig.toml")) << text;
}

TEST(LookHint, ABarWithOtherBallsIsTheWrongOne) {
  const ProgramRun run =
      run_program({"look", kDemoBar, "--bar", "250", "--ball", "34.2", "--json"});
  const auto look = run.json();
  ASSERT_EQ(look["findings"].size(), 1u) << look;
  EXPECT_EQ(look["findings"][0]["id"], "wrong-artefact");
  EXPECT_EQ(look["status"], "rejected");
  EXPECT_TRUE(run_program({"look", kDemoBar, "--bar", "250", "--ball", "30", "--json"})
                  .json()["findings"]
                  .empty());
}

}  // namespace
}  // namespace rigproof
