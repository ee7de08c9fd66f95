#include <atomic>
#include <filesystem>
#include <fstream>

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/folder.h"
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

TEST(AtomicFile, TakesAnotherNameWhereOneIsTaken) {
  const auto dir = scratch("free");
  write_atomically(dir / "scan.ply", "the first");
  AtomicFile file(dir / "scan.ply");
  file.write("the second");
  EXPECT_FALSE(file.commit_if_free(dir / "scan.ply"));
  EXPECT_TRUE(file.commit_if_free(dir / "scan-2.ply"));
  EXPECT_EQ(read_text(dir / "scan.ply"), "the first");
  EXPECT_EQ(read_text(dir / "scan-2.ply"), "the second");
  EXPECT_EQ(std::distance(fs::directory_iterator(dir), {}), 2);
}

TEST(AtomicFile, PutsNothingInThePlaceOfADevice) {
  const auto dir = scratch("device");
  ASSERT_EQ(::mkfifo((dir / "pipe").c_str(), 0600), 0);
  for (const fs::path& there : {dir / "pipe", dir}) {
    try {
      write_atomically(there, "text");
      FAIL() << there;
    } catch (const Error& e) {
      EXPECT_EQ(e.kind(), ErrorKind::cannot_create);
    }
  }
  EXPECT_TRUE(fs::is_fifo(dir / "pipe"));
  EXPECT_EQ(std::distance(fs::directory_iterator(dir), {}), 1);
}

TEST(FolderLock, ManyTogetherOrOneAlone) {
  using Kind = FolderLock::Kind;
  const auto dir = scratch("lock");
  {
    const FolderLock one(dir, Kind::shared), two(dir, Kind::shared);
    EXPECT_THROW(FolderLock(dir, Kind::alone), Error);
  }
  {
    const FolderLock alone(dir, Kind::alone);
    EXPECT_THROW(FolderLock(dir, Kind::shared), Error);
    EXPECT_THROW(FolderLock(dir, Kind::alone), Error);
  }
  const FolderLock again(dir, Kind::alone);
  EXPECT_NO_THROW(FolderLock(dir / "absent", Kind::alone)) << "said by who needs the folder";
}

TEST(AtomicFile, ObeysTheUmask) {
  const auto dir = scratch("umask");
  const mode_t mask = ::umask(027);
  write_atomically(dir / "a", "x");
  ::umask(mask);
  EXPECT_EQ(fs::status(dir / "a").permissions(), fs::perms(0640));
}

// On a shared disk: whether the writer lives can be asked on its own host only.
TEST(AtomicFile, NothingOfAnotherHostIsTakenForALeftover) {
  const auto dir = scratch("hosts");
  const std::string host = "a.@" + host_name(), pid = "-" + std::to_string(::getpid());
  {
    const AtomicFile file(dir / "a");
    const std::string own = fs::directory_iterator(dir)->path().filename().string();
    EXPECT_TRUE(own.starts_with(host + pid + "-")) << own;
  }
  // Process ids end at 2^22 on Linux: no process can have this one.
  const std::string gone = "-99999999-0.tmp";
  const std::string left[] = {host + gone, "a.99999999-0.tmp"};
  const std::string kept[] = {host + "2" + gone,
                              host + "2" + pid + "-0.tmp",
                              "a.@.._other" + gone,
                              "a.@" + gone,
                              host + pid + "-777.tmp",
                              "a.tmp"};
  for (const bool of_one : {false, true}) {
    for (const std::string& name : left) write_atomically(dir / name, "x");
    for (const std::string& name : kept) write_atomically(dir / name, "x");
    if (of_one)
      remove_unfinished(dir / "a");
    else
      EXPECT_EQ(remove_unfinished_files(dir), 2);
    for (const std::string& name : left) EXPECT_FALSE(fs::exists(dir / name)) << name;
    for (const std::string& name : kept) EXPECT_TRUE(fs::exists(dir / name)) << name;
  }
}

TEST(HostName, CanStandInAFilesName) {
  EXPECT_EQ(host_in_name("lab-3.example"), "lab_3.example");
  EXPECT_EQ(host_in_name("../a b\n\xff"), ".._a_b__");
  const std::string many(300, 'x'), others = many + "y";
  EXPECT_EQ(host_in_name(many).size(), 32u);
  EXPECT_NE(host_in_name(many), host_in_name(others));
  EXPECT_EQ(host_name(), host_in_name(host_name()));
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
