#include "app/program.h"

#include <fstream>
#include <sstream>
#include <utility>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace rigproof {
namespace {

std::string slurp(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

std::filesystem::path scratch_folder(const std::string& name) {
  const auto folder = std::filesystem::path(testing::TempDir()) /
                      ("app_" + name + "_" + std::to_string(::getpid()));
  std::filesystem::remove_all(folder);
  std::filesystem::create_directories(folder);
  return folder;
}

ProgramRun run_program(const std::vector<std::string>& arguments,
                       const std::filesystem::path& folder,
                       int interrupt_after_ms) {
  Mishap mishap;
  if (interrupt_after_ms > 0) mishap = {SIGINT, 1000 * interrupt_after_ms, 0, {}};
  return run_program(arguments, folder, mishap);
}

ProgramRun run_program(const std::vector<std::string>& arguments,
                       const std::filesystem::path& folder,
                       const Mishap& mishap) {
  static int count = 0;
  const auto base = std::filesystem::path(testing::TempDir()) /
                    ("run_" + std::to_string(::getpid()) + "_" + std::to_string(count++));
  const std::string home =
      (std::filesystem::path(testing::TempDir()) / ("app_home_" + std::to_string(::getpid())))
          .string();
  const std::string out = base.string() + ".out", err = base.string() + ".err";
  const pid_t child = ::fork();
  if (child == 0) {
    if (::chdir(folder.c_str()) != 0) ::_exit(126);
    ::setenv("RIGPROOF_HOME", home.c_str(), 0);  // never the home folder of who runs the tests
    ::dup2(::open("/dev/null", O_RDONLY), 0);
    ::dup2(::open(out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), 1);
    ::dup2(::open(err.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), 2);
    if (mishap.largest_file > 0) {
      const rlimit limit{mishap.largest_file, mishap.largest_file};
      ::setrlimit(RLIMIT_FSIZE, &limit);
      ::signal(SIGXFSZ, SIG_IGN);  // the write fails instead
    }
    if (mishap.memory_kib > 0) {
      const rlimit limit{mishap.memory_kib << 10, mishap.memory_kib << 10};
      ::setrlimit(RLIMIT_AS, &limit);
    }
    std::vector<char*> argv{const_cast<char*>(RIGPROOF_PROGRAM)};
    for (const auto& a : arguments) argv.push_back(const_cast<char*>(a.c_str()));
    argv.push_back(nullptr);
    ::execv(RIGPROOF_PROGRAM, argv.data());
    ::_exit(127);
  }
  if (mishap.meanwhile) mishap.meanwhile();
  if (mishap.signal != 0) {
    ::usleep(static_cast<unsigned>(mishap.after_us));
    ::kill(child, mishap.signal);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  ProgramRun run;
  run.code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  run.out = slurp(out);
  run.err = slurp(err);
  ::unlink(out.c_str());
  ::unlink(err.c_str());
  return run;
}

ProgramRun run_faulty(const std::string& fault,
                      const std::vector<std::string>& arguments,
                      const std::filesystem::path& folder) {
  ::setenv("LD_PRELOAD", RIGPROOF_FAULTY_SYSTEM, 1);
  ::setenv("FAULTY_SYSTEM", fault.c_str(), 1);
  const ProgramRun run = run_program(arguments, folder);
  ::unsetenv("FAULTY_SYSTEM");
  ::unsetenv("LD_PRELOAD");
  return run;
}

std::vector<std::vector<std::string>> read_rows(const std::filesystem::path& file) {
  std::vector<std::vector<std::string>> rows;
  std::istringstream in(slurp(file));
  bool header = true;
  for (std::string line; std::getline(in, line);) {
    if (line.empty() || line[0] == '#') continue;
    if (std::exchange(header, false)) continue;
    std::vector<std::string> cells;
    std::istringstream row(line);
    for (std::string cell; std::getline(row, cell, ',');) cells.push_back(cell);
    rows.push_back(std::move(cells));
  }
  return rows;
}

}  // namespace rigproof
