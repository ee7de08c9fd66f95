// The program as it is delivered: what Debian's hardening wiki asks of an executable (position
// independent, read-only relocations bound at start, no executable stack, guarded stacks, checked
// copies) and the assertions of the standard library.
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "app/program.h"

namespace rigproof {
namespace {

using testing::ContainsRegex;
using testing::HasSubstr;
using testing::Not;

std::string readelf(const std::string& options) {
  const auto out = scratch_folder("readelf") / "out";
  const std::string line =
      "readelf " + options + " '" RIGPROOF_PROGRAM "' >'" + out.string() + "' 2>/dev/null";
  EXPECT_EQ(std::system(line.c_str()), 0) << line;
  std::ifstream in(out);
  return {std::istreambuf_iterator<char>(in), {}};
}

TEST(Hardening, OfTheLayout) {
#ifdef RIGPROOF_SANITIZED
  GTEST_SKIP() << "a program for tests alone";
#endif
  const std::string program = readelf("-hlW");
  EXPECT_THAT(program, HasSubstr("DYN (Position-Independent Executable file)"));
  EXPECT_THAT(program, HasSubstr("GNU_RELRO"));
  EXPECT_THAT(program, ContainsRegex("GNU_STACK[ x0-9a-f]*RW "));
  EXPECT_THAT(program, Not(HasSubstr(" RWE ")));
  EXPECT_THAT(readelf("-dW"), HasSubstr("BIND_NOW"));
}

TEST(Hardening, OfTheCode) {
#ifdef RIGPROOF_SANITIZED
  GTEST_SKIP() << "the sanitizers do that work here";
#endif
  const std::string symbols = readelf("-W --dyn-syms");
  EXPECT_THAT(symbols, HasSubstr("__stack_chk_fail"));
  EXPECT_THAT(symbols, HasSubstr("__memcpy_chk"));
  EXPECT_THAT(symbols, HasSubstr("__glibcxx_assert_fail"));
}

}  // namespace
}  // namespace rigproof
