// Signatures against the test vectors of RFC 8032, section 7.1 (from memory, as this code and
// another implementation agree on them: openssl pkeyutl checks a signature in the program's tests).
#include "seal/key.h"

#include <filesystem>
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/error.h"
#include "base/input_file.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

struct Vector {
  const char *seed, *key, *message, *signature;
};
const Vector kVectors[] = {{"9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
                            "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
                            "",
                            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb882"
                            "1590a33bacc61e39701cf9b46b"
                            "d25bf5f0595bbe24655141438e7a100b"},
                           {"4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
                            "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
                            "r",  // 0x72
                            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1"
                            "e43e15996e458f3613d0f11d8c"
                            "387b2eaeb4302aeeb00d291612bb0c00"}};

class Key : public testing::Test {
 protected:
  void SetUp() override {
    dir_ = fs::path(testing::TempDir()) / ("seal_key_" + std::to_string(::getpid()));
    fs::remove_all(dir_);
    fs::create_directories(dir_);
  }
  void TearDown() override { fs::remove_all(dir_); }
  fs::path put(const std::string& text, mode_t mode = 0600) {
    std::ofstream(dir_ / "key") << text;
    ::chmod((dir_ / "key").c_str(), mode);
    return dir_ / "key";
  }
  std::vector<std::string> names() const {
    std::vector<std::string> out;
    for (const auto& entry : fs::directory_iterator(dir_))
      out.push_back(entry.path().filename().string());
    return out;
  }
  fs::path dir_;
};

TEST_F(Key, SignsAsRfc8032Says) {
  for (const Vector& v : kVectors) {
    const SigningKey key = SigningKey::load(put(std::string(v.seed) + "\n"));
    EXPECT_EQ(key.public_hex(), v.key);
    EXPECT_EQ(key.sign(v.message), v.signature);
    EXPECT_TRUE(signature_holds(v.key, v.message, v.signature));
    EXPECT_FALSE(signature_holds(v.key, std::string(v.message) + "x", v.signature));
  }
}

TEST_F(Key, HexIsComparedWhole) {
  const Vector& v = kVectors[1];
  std::string upper = v.signature;
  upper[1] = '2', upper[5] = 'A';
  for (const std::string& bad : {std::string(v.signature).substr(0, 126),
                                 std::string(v.signature) + "00",
                                 upper,
                                 " " + std::string(v.signature),
                                 std::string(128, 'g'),
                                 std::string()})
    EXPECT_FALSE(signature_holds(v.key, v.message, bad)) << bad;
  EXPECT_FALSE(signature_holds("", v.message, v.signature));
  EXPECT_FALSE(signature_holds(std::string(v.key) + "0", v.message, v.signature));
}

TEST_F(Key, IsMadeOnceAndForItsOwnerAlone) {
  const SigningKey made = SigningKey::create(dir_ / "new");
  struct stat info{};
  ASSERT_EQ(::stat((dir_ / "new").c_str(), &info), 0);
  EXPECT_EQ(info.st_mode & 0777, 0600u);
  EXPECT_EQ(read_text(dir_ / "new").size(), 65u);
  EXPECT_EQ(SigningKey::load(dir_ / "new").public_hex(), made.public_hex());
  EXPECT_THROW(SigningKey::create(dir_ / "new"), Error);
  EXPECT_NE(SigningKey::create(dir_ / "other").public_hex(), made.public_hex());
}

TEST_F(Key, IsWholeBeforeItStandsUnderItsName) {
  bool asked = false;
  const SigningKey made = SigningKey::create(dir_ / "new", [&](const std::string& key) {
    asked = true;
    EXPECT_FALSE(fs::exists(dir_ / "new"));
    ASSERT_EQ(names().size(), 1u);
    struct stat info{};
    ASSERT_EQ(::stat((dir_ / names()[0]).c_str(), &info), 0);
    EXPECT_EQ(info.st_mode & 0777, 0600u);
    EXPECT_EQ(SigningKey::load(dir_ / names()[0]).public_hex(), key);
  });
  EXPECT_TRUE(asked);
  EXPECT_THAT(names(), testing::ElementsAre("new"));
  EXPECT_EQ(SigningKey::load(dir_ / "new").public_hex(), made.public_hex());
}

TEST_F(Key, OneThatCannotBeTrustedIsNotMade) {
  const auto refuse = [](const std::string&) { throw Error(ErrorKind::io, "no room"); };
  EXPECT_THROW(SigningKey::create(dir_ / "new", refuse), Error);
  EXPECT_THAT(names(), testing::IsEmpty());
}

TEST_F(Key, AKillAtTheWorstMomentLeavesNone) {
  const pid_t child = ::fork();
  if (child == 0) {
    SigningKey::create(dir_ / "new", [](const std::string&) { ::_exit(0); });
    ::_exit(1);
  }
  int status = 1;
  ::waitpid(child, &status, 0);
  ASSERT_EQ(status, 0);
  EXPECT_FALSE(fs::exists(dir_ / "new"));
  EXPECT_EQ(names().size(), 1u) << "the secret under its temporary name";
  std::ofstream(dir_ / "new.letter.tmp") << "of somebody else";
  SigningKey::create(dir_ / "new");
  EXPECT_THAT(names(), testing::UnorderedElementsAre("new", "new.letter.tmp"));
}

TEST_F(Key, OfTwoMadeAtOnceOneStands) {
  std::string first;
  const auto meanwhile = [&](const std::string&) {
    first = SigningKey::create(dir_ / "new").public_hex();
  };
  EXPECT_THROW(SigningKey::create(dir_ / "new", meanwhile), Error);
  EXPECT_EQ(SigningKey::load(dir_ / "new").public_hex(), first);
  EXPECT_THAT(names(), testing::ElementsAre("new"));
}

TEST_F(Key, OneThatOthersMayReadOrThatIsNoneIsRefused) {
  const std::string seed = kVectors[0].seed;
  EXPECT_THROW(SigningKey::load(put(seed + "\n", 0640)), Error);
  EXPECT_THROW(SigningKey::load(put(seed + "\n", 0604)), Error);
  EXPECT_THROW(SigningKey::load(put(seed.substr(1) + "\n")), Error);
  EXPECT_THROW(SigningKey::load(put(seed + "0\n")), Error);
  EXPECT_THROW(SigningKey::load(put("")), Error);
  EXPECT_THROW(SigningKey::load(dir_ / "none"), Error);
}

}  // namespace
}  // namespace rigproof
