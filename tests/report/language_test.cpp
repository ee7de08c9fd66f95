#include "report/language.h"

#include <set>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "base/error.h"
#include "report/test_options.h"

namespace rigproof {
namespace {

std::set<std::string> placeholders_of(const std::string& text) {
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
      EXPECT_EQ(placeholders_of(other.text(key)), placeholders_of(text)) << code << ": " << key;
      EXPECT_FALSE(other.text(key).empty()) << code << ": " << key;
    }
  }
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
