#include <atomic>
#include <filesystem>
#include <fstream>

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/json_excess.h"
#include "base/number.h"
#include "base/sha256.h"
#include "base/threads.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

fs::path scratch(const std::string& name) {
  const fs::path folder =
      fs::path(testing::TempDir()) / ("base_" + name + "_" + std::to_string(::getpid()));
  fs::remove_all(folder);
  fs::create_directories(folder);
  return folder;
}

// FIPS 180-4 example digests, as published with the standard (NIST CSRC, SHA-256 examples).
TEST(Sha256, PublishedExamples) {
  EXPECT_EQ(sha256_hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sha256_hex(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST(InputFile, RefusesFoldersAndPipesWithoutHanging) {
  const auto dir = scratch("refuse");
  ASSERT_EQ(::mkfifo((dir / "pipe").c_str(), 0600), 0);
  for (const fs::path& p : {dir, dir / "pipe", dir / "absent"}) {
    try {
      InputFile file(p);
      FAIL() << p;
    } catch (const Error& e) {
      EXPECT_EQ(e.kind(), ErrorKind::missing);
      EXPECT_NE(std::string(e.what()).find(p.filename().string()), std::string::npos);
    }
  }
}

TEST(InputFile, ShrinkingWhileReadIsAnError) {
  const auto dir = scratch("shrink");
  write_atomically(dir / "a", std::string(1000, 'x'));
  const InputFile file(dir / "a");
  fs::resize_file(dir / "a", 10);
  char buffer[100];
  EXPECT_THROW(file.read(500, buffer, 100), Error);
  EXPECT_THROW(file.check_unchanged(), Error);
}

TEST(JsonExcess, CountsBracketsOutsideStrings) {
  EXPECT_FALSE(json_excess("", 0));
  EXPECT_FALSE(json_excess(R"({"[[[": "{\"[[\\"})", 1));
  EXPECT_STREQ(json_excess(R"({"\\": [1]})", 1), "nests too deep");
  EXPECT_FALSE(json_excess("[[1],[2],[3]]", 2));
  EXPECT_TRUE(json_excess("[[1],[[2]]]", 2));
  EXPECT_FALSE(json_excess(std::string(64, '[')));
  EXPECT_TRUE(json_excess(std::string(1u << 20, '[')));
  EXPECT_FALSE(json_excess("]]]]]", 1));
}

TEST(JsonExcess, CountsTheKeysOfEachObject) {
  EXPECT_FALSE(json_excess(R"({"a": {"b:c:d": 1}, "e": [{"f": 1}, {"g": 1}]})", 9, 2));
  EXPECT_STREQ(json_excess(R"({"a": 1, "b": {}, "c": 1})", 9, 2), "has an object of too many keys");
  EXPECT_TRUE(json_excess(R"([{"a": {"b": 1, "c": 1, "d": 1}}])", 9, 2));
}

TEST(AtomicFile, ReplacesAndLeavesNothingBeside) {
  const auto dir = scratch("atomic");
  write_atomically(dir / "a.json", "one");
  write_atomically(dir / "a.json", "two");
  EXPECT_EQ(read_text(dir / "a.json"), "two");
  EXPECT_EQ(std::distance(fs::directory_iterator(dir), {}), 1);
  try {
    write_atomically(dir / "none" / "b", "x");
    FAIL();
  } catch (const Error& e) {
    EXPECT_EQ(e.kind(), ErrorKind::cannot_create);
  }
}

TEST(AtomicFile, AnAbandonedStreamLeavesTheOldContent) {
  const auto dir = scratch("stream");
  write_atomically(dir / "a", "old");
  {
    AtomicFile file(dir / "a");
    file.write("half of it");
  }
  EXPECT_EQ(read_text(dir / "a"), "old");
  AtomicFile file(dir / "a");
  file.write("new ");
  file.write("content");
  EXPECT_EQ(read_text(dir / "a"), "old");
  file.commit();
  EXPECT_EQ(read_text(dir / "a"), "new content");
  EXPECT_EQ(std::distance(fs::directory_iterator(dir), {}), 1);
}

TEST(AtomicFile, ObeysTheUmask) {
  const auto dir = scratch("umask");
  const mode_t mask = ::umask(027);
  write_atomically(dir / "a", "x");
  ::umask(mask);
  EXPECT_EQ(fs::status(dir / "a").permissions(), fs::perms(0640));
}

TEST(Display, ShowsInvalidBytesAndControlsHarmlessly) {
  EXPECT_EQ(display("a\xff"
                    "b\x1b[31m"),
            "a\\xffb\\x1b[31m");
  EXPECT_EQ(display("Prüfkugel ✓"), "Prüfkugel ✓");
  EXPECT_EQ(display("\xc2\x9b"
                    "31m"),
            "\\xc2\\x9b31m");
  EXPECT_EQ(display("\xe0\x80\xaf"), "\\xe0\\x80\\xaf");
  EXPECT_EQ(display("a\u202Eb"), "a\\xe2\\x80\\xaeb");
  EXPECT_EQ(display("\u200B\u2066\u061C"), "\\xe2\\x80\\x8b\\xe2\\x81\\xa6\\xd8\\x9c");
  EXPECT_EQ(display("– … שלום"), "– … שלום");
}

TEST(Number, RoundTripsAndHasNoNegativeZero) {
  for (double v : {0.1, 1 / 3.0, 300.02120000000002, 1e-300, -5e20})
    EXPECT_EQ(std::stod(exact(v)), v);
  EXPECT_EQ(fixed(-0.0004, 3), "0.000");
  EXPECT_EQ(fixed(-0.0006, 3), "-0.001");
  EXPECT_EQ(micrometres(0.01234), "12.3 µm");
}

TEST(Threads, EveryBlockOnceAndTheFirstErrorByBlock) {
  for (int threads : {1, 2, 7}) {
    std::vector<std::atomic<int>> seen(1000);
    parallel_blocks(seen.size(), threads, [&](std::size_t b, int) { ++seen[b]; });
    for (auto& s : seen) EXPECT_EQ(s, 1);
    try {
      parallel_blocks(100, threads, [&](std::size_t b, int) {
        if (b == 5) throw std::runtime_error(std::to_string(b));
      });
      FAIL();
    } catch (const std::runtime_error& e) {
      EXPECT_STREQ(e.what(), "5");
    }
  }
}

}  // namespace
}  // namespace rigproof
