// Systems that fail under a seal or a bundle (faulty_system.c): no key is left that was not written
// to disk or is not trusted, and no customer folder appears that is not on disk.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <stdlib.h>

#include "app/sealed_session.h"
#include "base/input_file.h"
#include "seal/manifest.h"

namespace rigproof {
namespace {

using testing::AnyOf;
using testing::HasSubstr;

class SealFaults : public testing::Test {
 protected:
  void SetUp() override {
#ifdef RIGPROOF_SANITIZED
    GTEST_SKIP() << "the sanitizers want to be loaded first";
#endif
  }
  static ProgramRun run(const std::string& fault, const std::vector<std::string>& words) {
    return run_faulty(fault, words, Sealed::get().dir);
  }
};

TEST_F(SealFaults, NoKeyIsLeftThatIsNotOnDiskOrNotTrusted) {
  const Sealed& s = Sealed::get();
  fs::remove_all(s.copy("unsealed") / "seal");
  const std::vector<std::string> seal{"seal", "unsealed", "--key", "keys/new.key", "--by", "A"};
  // The list of trusted keys is put in place first, then the key.
  for (const char* fault : {"write:1", "sync:1", "create:1", "sync:2", "rename:1", "rename:2"}) {
    const ProgramRun failed = run(fault, seal);
    EXPECT_THAT(failed.code, AnyOf(73, 74)) << fault << failed.err;
    EXPECT_THAT(failed.err, AnyOf(HasSubstr("key"), HasSubstr("signers"))) << fault;
    EXPECT_TRUE(fs::is_empty(s.dir / "keys")) << fault;
  }
  EXPECT_EQ(run_program(seal, s.dir).code, 0);
  const ProgramRun audit = run_program({"audit", "unsealed", "--hashes-only", "--json"}, s.dir);
  EXPECT_EQ(audit.json()["signer"]["known"], true);
}

TEST_F(SealFaults, ACustomerFolderAppearsOnceEveryFileIsOnDisk) {
  const Sealed& s = Sealed::get();
  ASSERT_EQ(run_program({"bundle", "session", "--out", "sound"}, s.dir).code, 0);
  const auto files = files_below(s.dir / "sound").size();
  const std::vector<std::string> bundle{"bundle", "session", "--out", "synced"};
  for (const std::size_t n : {std::size_t{1}, files / 2, files}) {
    const ProgramRun failed = run("sync:" + std::to_string(n), bundle);
    EXPECT_EQ(failed.code, 74) << n << failed.err;
    EXPECT_THAT(failed.err, HasSubstr("cannot be written to disk"));
    EXPECT_FALSE(fs::exists(s.dir / "synced")) << n;
  }
}

}  // namespace
}  // namespace rigproof
