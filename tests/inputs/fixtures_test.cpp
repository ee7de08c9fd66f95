#include <algorithm>
#include <set>

#include "inputs/scratch_folder.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

std::vector<fs::path> files(const std::string& kind) {
  std::vector<fs::path> out;
  for (const auto& entry : fs::directory_iterator(fixtures() / kind)) out.push_back(entry.path());
  std::ranges::sort(out);
  return out;
}

std::size_t count(const Procedure& p, ArtefactKind kind) {
  return static_cast<std::size_t>(std::ranges::count_if(
      p.positions, [&](const auto& at) { return at.kind == kind && !at.closing; }));
}

TEST(Fixtures, EveryFileLoads) {
  for (const auto& file : files("procedures")) EXPECT_NO_THROW(load_procedure(file)) << file;
  for (const auto& file : files("rigs")) EXPECT_NO_THROW(load_rig(file)) << file;
  for (const auto& file : files("artefacts")) EXPECT_NO_THROW(load_artefact(file)) << file;
  for (const auto& file : files("limits")) EXPECT_NO_THROW(load_limits(file)) << file;
}

// Counts as the design of the procedures states them: 10 + 7 + 6 and a closing repeat, and so on.
TEST(Fixtures, ProceduresHaveTheScansTheyPromise) {
  struct Expected {
    const char* name;
    std::size_t balls, bars, plates, scans;
  };
  for (const auto& e : {Expected{"single-view", 10, 7, 6, 24},
                        Expected{"half-hour", 1, 7, 6, 15},
                        Expected{"optical-cms", 5, 7, 6, 19},
                        Expected{"interim", 0, 2, 1, 3}}) {
    const Procedure p = load_procedure(fixtures() / "procedures" / (std::string(e.name) + ".toml"));
    EXPECT_EQ(p.name, e.name);
    EXPECT_EQ(count(p, ArtefactKind::ball), e.balls) << e.name;
    EXPECT_EQ(count(p, ArtefactKind::bar), e.bars) << e.name;
    EXPECT_EQ(count(p, ArtefactKind::plate), e.plates) << e.name;
    EXPECT_EQ(p.positions.size(), e.scans) << e.name;
    EXPECT_EQ(p.positions.back().closing, p.demand.closing_repeat) << e.name;
  }
}

TEST(Fixtures, NoProcedureClaimsConformity) {
  for (const auto& file : files("procedures")) {
    const Procedure p = load_procedure(file);
    EXPECT_FALSE(p.deviations.empty()) << file;
    for (std::string words : {p.title, p.style}) {
      std::ranges::transform(words, words.begin(), [](char c) { return std::tolower(c); });
      for (const char* claim : {"conform", "complian", "according to", "certified", "fulfil"})
        EXPECT_EQ(words.find(claim), std::string::npos) << file << ": " << words;
    }
    const bool in_the_style_of = p.style.find("in the style of") != std::string::npos;
    EXPECT_TRUE(in_the_style_of || p.style.find("our own") != std::string::npos) << p.style;
  }
}

TEST(Fixtures, EveryCharacteristicCarriesItsConfidence) {
  for (const auto& file : files("procedures"))
    for (const auto& [id, rule] : load_procedure(file).characteristics)
      EXPECT_FALSE(rule.confidence.empty()) << file << " " << id;
}

// What the named rules ask for, and that another number of a procedure is a deviation that is said.
TEST(Fixtures, ProceduresGoByTheNamedRulesAndSayWhereOneDoesNot) {
  for (const auto& file : files("procedures")) {
    Procedure p = load_procedure(file);
    EXPECT_EQ(p.proven_probability, 0.95) << file;
    EXPECT_EQ(p.retest_repeats, 3) << file;
    EXPECT_EQ(p.marks.at("proven"), "S") << file;
    EXPECT_EQ(printed_deviations(p), p.deviations);
    p.proven_probability = 0.975;
    p.retest_repeats = 1;
    const auto printed = printed_deviations(p);
    ASSERT_EQ(printed.size(), p.deviations.size() + 2);
    EXPECT_NE(printed[printed.size() - 2].find("97.5 %; the 95 %"), std::string::npos);
    EXPECT_NE(printed.back().find("asks for: 1; usual are 3"), std::string::npos);
    p.retest.clear();  // without the rule its number says nothing
    EXPECT_EQ(printed_deviations(p).size(), p.deviations.size() + 1);
  }
}

TEST(Fixtures, PositionsLieApartAndInside) {
  for (const auto& file : files("procedures")) {
    std::set<std::string> seen;
    for (const auto& at : load_procedure(file).positions) {
      if (at.closing) continue;
      std::string key = to_string(at.kind);
      for (const double c : at.center) {
        EXPECT_LE(std::abs(c), 0.8) << at.id << ": an artefact has a size";
        key += " " + std::to_string(c);
      }
      if (at.direction)
        for (const double d : *at.direction) key += " " + std::to_string(d);
      EXPECT_TRUE(seen.insert(key).second) << file << " " << at.id;
    }
  }
}

TEST(Fixtures, TheClosingRepeatIsABarInDepthMeasuredFirstAndLast) {
  for (const char* name : {"single-view", "half-hour", "optical-cms"}) {
    const Procedure p = load_procedure(fixtures() / "procedures" / (std::string(name) + ".toml"));
    const auto& first = p.positions.front();
    const auto& last = p.positions.back();
    EXPECT_EQ(last.repeats, first.id);
    EXPECT_EQ(last.center, first.center);
    EXPECT_EQ(last.direction, first.direction);
    EXPECT_EQ(first.direction, (std::array<double, 3>{0, 0, 1}));
  }
}

}  // namespace
}  // namespace rigproof
