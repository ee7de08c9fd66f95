#include "report/plain_text.h"

#include <gtest/gtest.h>

namespace rigproof {
namespace {

TEST(PlainText, KeepsWordsAndRemovesWhatHidesOrTurns) {
  EXPECT_EQ(plain_text("Prüfstand 7 ≤ µm"), "Prüfstand 7 ≤ µm");
  EXPECT_EQ(plain_text("a\x1b[31mb\tc\r\nd"), "a [31mb c  d");
  EXPECT_EQ(plain_text("scan\u202Efdp.exe\u200B\uFEFF"), "scanfdp.exe");
}

TEST(PlainText, InvalidUtf8BecomesReplacementCharacters) {
  EXPECT_EQ(plain_text("a\xff\xfe z"), "a\uFFFD\uFFFD z");
  // Overlong "/", a surrogate and a value above U+10FFFF (RFC 3629, sections 3 and 10).
  EXPECT_EQ(plain_text("\xC0\xAF"), "\uFFFD\uFFFD");
  EXPECT_EQ(plain_text("\xED\xA0\x80"), "\uFFFD\uFFFD\uFFFD");
  EXPECT_EQ(plain_text("\xF4\x90\x80\x80"), "\uFFFD\uFFFD\uFFFD\uFFFD");
  EXPECT_EQ(plain_text("cut \xE2\x82"), "cut \uFFFD\uFFFD");
}

TEST(PlainText, LongNamesLoseTheirMiddle) {
  const std::string text = plain_text("begin" + std::string(10'000, 'x') + "end", 40);
  EXPECT_EQ(characters(text), 40u);
  EXPECT_TRUE(text.starts_with("begin"));
  EXPECT_TRUE(text.ends_with("end"));
}

TEST(PlainText, EscapesForHtmlAndForJsonInAScript) {
  EXPECT_EQ(escape_html("<a href='x' title=\"y\">&"),
            "&lt;a href=&#39;x&#39; title=&quot;y&quot;&gt;&amp;");
  EXPECT_EQ(escape_json("</script>\"\\\n"), "\\u003c/script\\u003e\\\"\\\\\\u000a");
}

TEST(PlainText, Base64OfThePublishedVectors) {
  // RFC 4648, section 10.
  EXPECT_EQ(base64(""), "");
  EXPECT_EQ(base64("f"), "Zg==");
  EXPECT_EQ(base64("fo"), "Zm8=");
  EXPECT_EQ(base64("foo"), "Zm9v");
  EXPECT_EQ(base64("foob"), "Zm9vYg==");
  EXPECT_EQ(base64("fooba"), "Zm9vYmE=");
  EXPECT_EQ(base64("foobar"), "Zm9vYmFy");
}

}  // namespace
}  // namespace rigproof
