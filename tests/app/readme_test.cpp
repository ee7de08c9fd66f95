// Every line that the README tells a newcomer to type, typed: with a scan of a ball in an STL file,
// a folder of seven STL scans of one bar, two scans of a wall, and a session.
#include <algorithm>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "app/program.h"
#include "scan/scan.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

/// Every three points a facet: an STL file whose corners are the scan's points.
void write_stl(const fs::path& scan, const fs::path& to) {
  const Points points = Scan::open(scan).all();
  std::ofstream out(to);
  out.precision(9);
  out << "solid scan\n";
  for (std::size_t i = 0; i + 3 <= points.size(); i += 3) {
    out << "facet normal 0 0 -1\nouter loop\n";
    for (std::size_t k = i; k < i + 3; ++k) {
      const Vec3 p = points.at(k);
      out << "vertex " << p.x() << ' ' << p.y() << ' ' << p.z() << '\n';
    }
    out << "endloop\nendfacet\n";
  }
  out << "endsolid scan\n";
}

void write_wall(const fs::path& to, double z, double width, double height) {
  std::ofstream out(to);
  out << "ply\nformat ascii 1.0\nelement vertex 1271\nproperty float x\nproperty float y\n"
         "property float z\nend_header\n";
  for (int i = 0; i <= 40; ++i)
    for (int j = 0; j <= 30; ++j)
      out << width * (i / 40.0 - 0.5) << ' ' << height * (j / 30.0 - 0.5) << ' '
          << z + 0.01 * ((i * 7 + j * 3) % 5 - 2) << '\n';
}

/// A folder with all that the README's lines name.
const fs::path& place() {
  static const fs::path folder = [] {
    const fs::path dir = scratch_folder("readme");
    std::ofstream scenario(dir / "scenario.toml");
    scenario << "rig = \"R12\"\nseed = 3\npoints = 40000\nartefacts = [\"bar-250-07\"]\n";
    for (const char* lies : {"center = [0, 0, 600]\ndirection = [1, 0, 0]",
                             "center = [0, -60, 570]\ndirection = [1, 0, 0]",
                             "center = [0, 60, 640]\ndirection = [1, 0, 0]",
                             "center = [0, 0, 600]\ndirection = [1, 0.5, 0]",
                             "center = [0, 0, 600]\ndirection = [1, -0.5, 0]",
                             "center = [0, 0, 600]\ndirection = [1, 0, 0.4]",
                             "center = [0, 0, 600]\ndirection = [1, 0.3, -0.4]"})
      scenario << "[[scan]]\nartefact = \"250-07\"\n" << lies << '\n';
    scenario.close();
    const ProgramRun made = run_program({"simulate", "scenario.toml", "--out", "session"}, dir);
    EXPECT_EQ(made.code, 0) << made.err;
    fs::create_directories(dir / "scans");
    for (int n = 1; n <= 7; ++n)
      write_stl(dir / "session/scans" / ("scan-0" + std::to_string(n) + ".ply"),
                dir / "scans" / ("scan00" + std::to_string(n) + ".stl"));
    fs::copy_file(dir / "scans/scan001.stl", dir / "scan001.stl");
    std::ofstream(dir / "points.csv") << "x,y,z\n0,0,1\n100,0,1\n100,100,1.01\n0,100,1\n";
    write_wall(dir / "near.ply", 500, 280, 190);
    write_wall(dir / "far.ply", 700, 320, 210);
    return dir;
  }();
  return folder;
}

std::vector<std::vector<std::string>> lines_of_the_readme() {
  std::ifstream in(fs::path(RIGPROOF_SOURCE_DIR) / "README.md");
  const std::string text(std::istreambuf_iterator<char>(in), {});
  std::vector<std::vector<std::string>> out;
  const std::regex line("(^|\n|`)rigproof ([^`\n#]*)");
  for (std::sregex_iterator it(text.begin(), text.end(), line), end; it != end; ++it) {
    std::istringstream words((*it)[2]);
    out.emplace_back(std::istream_iterator<std::string>(words),
                     std::istream_iterator<std::string>());
  }
  return out;
}

TEST(Readme, SevenScansOfOneBarAndNoFilesGetAVerdictOnSpacing) {
  const ProgramRun run =
      run_program({"assess", "scans/", "--bar", "250", "--limit", "0.03", "--json"}, place());
  ASSERT_EQ(run.code, 0) << run.err;
  const auto results = run.json();
  EXPECT_EQ(results["verdict"], "within");
  for (const auto& c : results["characteristics"]) {
    if (c["id"] == "sphere_spacing") {
      EXPECT_EQ(c["verdict"], "within");
      ASSERT_EQ(c["values"].size(), 7u);
      // The bar is 250.0123 mm long and was typed as 250.
      for (const auto& v : c["values"]) EXPECT_NEAR(v["value"].get<double>(), 0.0123, 0.01);
    } else {
      EXPECT_FALSE(c["judged"]) << c["id"];
    }
  }
}

/// Lines that name no file are typed inside the session.
bool inside_the_session(const std::vector<std::string>& line) {
  static const std::set<std::string> commands{
      "audit", "bundle", "explain", "plan", "redo", "report", "seal", "watch"};
  return commands.contains(line[0]) || (line[0] == "assess" && line.size() == 1);
}

TEST(Readme, EveryLineDoesWhatItSays) {
  auto lines = lines_of_the_readme();
  ASSERT_GE(lines.size(), 6u);
  // Nothing is written into a sealed session any more.
  std::ranges::stable_partition(lines, [](const auto& line) { return line[0] != "seal"; });
  for (const auto& line : lines) {
    const int stop_after_ms = line[0] == "watch" ? 5000 : 0;  // it goes on until it is stopped
    const ProgramRun run =
        run_program(line, inside_the_session(line) ? place() / "session" : place(), stop_after_ms);
    const bool asks = line[0] == "add" || line[0] == "new";  // nobody is there to answer
    if (asks && run.code == 64)
      EXPECT_THAT(run.err, testing::ContainsRegex("--[a-z]")) << testing::PrintToString(line);
    else if (stop_after_ms > 0)
      EXPECT_EQ(run.code, 130) << testing::PrintToString(line) << run.err;
    else
      EXPECT_LE(run.code, 3) << testing::PrintToString(line) << run.err;
    EXPECT_THAT(run.out + run.err, testing::HasSubstr(run.code == 64 ? "" : "Next: "))
        << testing::PrintToString(line);
  }
}

}  // namespace
}  // namespace rigproof
