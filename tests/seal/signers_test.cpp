// The list of trusted keys: never silently empty, and nobody is lost when several runs add to it.
#include "seal/signers.h"

#include <filesystem>
#include <fstream>

#include <gtest/gtest.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/error.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

class Signers : public testing::Test {
 protected:
  void SetUp() override {
    home_ = fs::path(testing::TempDir()) / ("seal_signers_" + std::to_string(::getpid()));
    fs::remove_all(home_);
    ::setenv("RIGPROOF_HOME", home_.c_str(), 1);
  }
  void TearDown() override {
    ::unsetenv("RIGPROOF_HOME");
    fs::remove_all(home_);
  }
  fs::path home_;
};

std::string key_of(int number) {
  const std::string digits = std::to_string(number);
  return std::string(64 - digits.size(), '0') + digits;
}

TEST_F(Signers, AreAddedOnceAndReadAgain) {
  EXPECT_TRUE(trusted_signers().empty());
  trust_signer({key_of(1), "A. Name"});
  trust_signer({key_of(1), "another"});
  std::ofstream(signers_file(), std::ios::app) << key_of(2) << " by hand";  // and no end of line
  trust_signer({key_of(3), "C"});
  const auto all = trusted_signers();
  ASSERT_EQ(all.size(), 3u);
  EXPECT_EQ(all[0].name, "A. Name");
  EXPECT_EQ(all[1].name, "by hand");
  EXPECT_EQ(all[2].key, key_of(3));
}

// As an empty one it would be written over, and every seal called one of a stranger.
TEST_F(Signers, AListThatCannotBeReadIsNoEmptyOne) {
  fs::create_directories(home_);
  fs::create_symlink("signers.txt", signers_file());  // leads to itself
  for (const bool adds : {false, true}) try {
      if (adds)
        trust_signer({key_of(1), "A"});
      else
        trusted_signers();
      ADD_FAILURE();
    } catch (const Error& error) {
      EXPECT_EQ(error.kind(), ErrorKind::missing);
      EXPECT_NE(std::string(error.what()).find("signers.txt"), std::string::npos);
    }
  EXPECT_TRUE(fs::is_symlink(signers_file()));
  if (::geteuid() == 0) return;  // may read everything
  fs::remove(signers_file());
  std::ofstream(signers_file()) << key_of(1) << "  A\n";
  fs::permissions(home_, fs::perms::none);
  EXPECT_THROW(trusted_signers(), Error);
  fs::permissions(home_, fs::perms::owner_all);
}

TEST_F(Signers, ProcessesThatAddAtOnceLoseNobody) {
  constexpr int processes = 6, each = 10;
  std::vector<pid_t> children;
  for (int p = 0; p < processes; ++p) {
    const pid_t child = ::fork();
    if (child == 0) {
      try {
        for (int i = 0; i < each; ++i) trust_signer({key_of(100 * p + i), "A"});
      } catch (const std::exception& error) {
        std::fputs(error.what(), stderr);
        ::_exit(1);
      }
      ::_exit(0);
    }
    children.push_back(child);
  }
  for (const pid_t child : children) {
    int status = 0;
    ::waitpid(child, &status, 0);
    EXPECT_EQ(status, 0);
  }
  EXPECT_EQ(trusted_signers().size(), std::size_t{processes * each});
}

}  // namespace
}  // namespace rigproof
