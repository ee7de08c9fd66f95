#include "report/language.h"

#include <algorithm>
#include <set>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "base/error.h"
#include "diagnose/advice.h"
#include "diagnose/remedy.h"
#include "judge/finding.h"
#include "plan/spot.h"
#include "report/test_options.h"

namespace rigproof {
namespace {

std::set<std::string> names_of(const std::string& text) {
  std::set<std::string> names;
  for (std::size_t at = text.find('{'); at != std::string::npos; at = text.find('{', at + 1))
    names.insert(text.substr(at, text.find('}', at) - at));
  return names;
}

TEST(Language, EveryLanguageHasTheSameTextsWithTheSamePlaceholders) {
  const auto assets = test_options().assets;
  const Language english(assets, "en");
  EXPECT_THAT(languages(assets), testing::IsSupersetOf({"de", "en"}));
  for (const std::string& code : languages(assets)) {
    const Language other(assets, code);
    EXPECT_EQ(other.texts().size(), english.texts().size()) << code;
    for (const auto& [key, text] : english.texts()) {
      ASSERT_TRUE(other.has(key)) << code << " lacks " << key;
      EXPECT_EQ(names_of(other.text(key)), names_of(text)) << code << ": " << key;
      EXPECT_FALSE(other.text(key).empty()) << code << ": " << key;
    }
  }
}

TEST(Language, AdviceOfTheDiagnosisIsKnownInGerman) {
  const Language german(test_options().assets, "de");
  for (const Remedy& r : remedies()) {
    EXPECT_NE(german.phrase(std::string(r.action)), r.action);
    for (const double sign : {-1.0, 1.0}) {
      const Cause cause{std::string(r.fault), "ppm", sign * 21, 1.5, 0, 0, "", 0};
      const std::string words(sign > 0 ? r.positive : r.negative);
      EXPECT_NE(german.phrase(words), words);
      EXPECT_EQ(german.phrase(in_words(cause)), german.phrase(words) + ", um 21,0 ± 1,5 ppm");
    }
    EXPECT_TRUE(german.has("cause." + std::string(r.fault))) << r.fault;
  }
  for (const Spoiler& s : spoilers()) EXPECT_NE(german.phrase(std::string(s.action)), s.action);
  EXPECT_EQ(german.phrase("zones near-top-left, far-top-right · χ² drops by 12"),
            "Zonen near-top-left, far-top-right · χ² sinkt um 12");
}

TEST(Language, RolesOfAPlanAreKnownInGerman) {
  const Language german(test_options().assets, "de");
  for (int k = 0; k <= static_cast<int>(Role::ball); ++k) {
    const std::string words = to_string(static_cast<Role>(k));
    EXPECT_NE(german.phrase(words), words);
  }
  EXPECT_EQ(german.phrase(to_string(Role::space_diagonal)), "Raumdiagonale");
}

TEST(Language, SentencesOfOtherRoomsAreRecognisedByTheirPattern) {
  const Language german(test_options().assets, "de");
  EXPECT_EQ(german.phrase("Scan the closing repeat: about 2 minutes."),
            "Noch scannen: the closing repeat; etwa 2 Minuten.");
  EXPECT_EQ(german.phrase("3 positions missing"), "3 Stellungen fehlen");
  EXPECT_EQ(german.phrase("flatness, probing not tested"), "Ebenheit, Antastung nicht geprüft");
  EXPECT_EQ(german.phrase("A sentence nobody translated."), "A sentence nobody translated.");
  EXPECT_EQ(german.phrase("Unknown. · Nothing to do."), "Unknown. · Nichts zu tun.");
}

// A finding in German: names, zones, and numbers with their comma; names of files keep their point.
TEST(Language, FindingsAreTranslatedWithTheirValues) {
  const Language german(test_options().assets, "de");
  EXPECT_EQ(german.phrase("probing error, size at mid-middle-centre repeats only to 8.6 µm, more "
                          "than 33 % of its limit 20.0 µm. · Noise, not the rig, would decide."),
            "Antastabweichung, Maß bei mitte-mittig-zentral wiederholt sich nur auf 8,6 µm, mehr "
            "als 33 % der Grenze 20,0 µm. · Das Rauschen würde entscheiden, nicht der Scanner.");
  EXPECT_EQ(german.phrase("scans/1.5.ply was withdrawn: 0.25 K warmer."),
            "scans/1.5.ply wurde zurückgezogen: 0,25 K warmer.");
}

// The findings table with values put in.
TEST(Language, FindingsHaveGermanSentences) {
  const Language german(test_options().assets, "de");
  int all = 0;
  std::string missing;
  for (const FindingKind& kind : finding_table()) {
    std::string text;
    bool inside = false;
    for (const char c : kind.text) {
      if (c == '{') text += "7";
      inside = c == '{' || (inside && c != '}');
      if (!inside && c != '}') text += c;
    }
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = std::min(text.find(" · ", at), text.size());
      const std::string sentence = text.substr(at, end - at);
      at = end + std::string(" · ").size();
      if (sentence == "7") continue;  // all of it is a value
      ++all;
      if (german.phrase(sentence) == sentence) missing += sentence + "\n";
    }
  }
  EXPECT_GT(all, 150);
  EXPECT_EQ(missing, "");
}

TEST(Language, AnUnknownLanguageNamesTheKnownOnes) {
  try {
    Language(test_options().assets, "../en");
    FAIL();
  } catch (const Error& e) {
    EXPECT_EQ(e.kind(), ErrorKind::usage);
    EXPECT_THAT(e.next_step(), testing::HasSubstr("de, en"));
  }
}

TEST(Language, ValuesAreNeverExpandedAgain) {
  EXPECT_EQ(fill("a {x} b {y}", {{"x", "{y}"}, {"y", "2"}}), "a {y} b 2");
  EXPECT_THROW(fill("{missing}", {}), Error);
}

}  // namespace
}  // namespace rigproof
