// Runs commands in turn, round after round, and prints for each: median and least wall time of the
// whole process, the ratio to the first command (the bare read) and to the second (our own), the
// peak of its memory (ru_maxrss), how many cores it kept busy, and how far the distance it found is
// from the truth.
//   time_runs FILE TRUTH_MM < COMMANDS     one a line: name|runs|program argument …
// A command states its distance as a line `distance MM`, or prints the JSON of rigproof look.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

#include <fcntl.h>
#include <nlohmann/json.hpp>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace {

constexpr double kMiB = 1024 * 1024;

struct Task {
  std::string name;
  int runs = 0;
  std::vector<std::string> command;
  std::vector<double> seconds, cores;
  double peak = 0;  // bytes
  std::optional<double> distance;
  bool failed = false;
};

Task parse(const std::string& line) {
  Task task;
  std::istringstream in(line);
  std::string runs, word;
  std::getline(in, task.name, '|');
  std::getline(in, runs, '|');
  task.runs = std::atoi(runs.c_str());
  while (in >> word) task.command.push_back(word);
  return task;
}

std::optional<double> distance_in(const std::string& text) {
  if (text.starts_with("{")) {
    const auto scan = nlohmann::json::parse(text, nullptr, false);
    if (scan.is_discarded() || !scan.contains("features") || scan["features"].size() != 2)
      return {};
    double sum = 0;
    for (int c = 0; c < 3; ++c)
      sum += std::pow(scan["features"][0]["center"][c].get<double>() -
                          scan["features"][1]["center"][c].get<double>(),
                      2);
    return std::sqrt(sum);
  }
  const auto at = text.find("distance ");
  if (at == std::string::npos) return {};
  return std::atof(text.c_str() + at + 9);
}

void run(Task& task) {
  int out[2];
  if (::pipe(out) != 0) std::exit(74);
  std::vector<char*> words;
  for (std::string& word : task.command) words.push_back(word.data());
  words.push_back(nullptr);
  posix_spawn_file_actions_t files;
  ::posix_spawn_file_actions_init(&files);
  ::posix_spawn_file_actions_adddup2(&files, out[1], 1);
  ::posix_spawn_file_actions_addclose(&files, out[0]);
  ::posix_spawn_file_actions_addclose(&files, out[1]);
  ::posix_spawn_file_actions_addopen(&files, 2, "/dev/null", O_WRONLY, 0);
  const auto start = std::chrono::steady_clock::now();
  pid_t child = 0;
  // Not fork(): its child shares a core with its parent until the system moves one of them, which
  // takes as long as a small scan.
  if (::posix_spawn(&child, words[0], &files, nullptr, words.data(), environ) != 0) std::exit(74);
  ::posix_spawn_file_actions_destroy(&files);
  ::close(out[1]);
  std::string text;
  char piece[4096];
  for (ssize_t n; (n = ::read(out[0], piece, sizeof piece)) > 0;)
    text.append(piece, static_cast<std::size_t>(n));
  ::close(out[0]);
  int status = 0;
  struct rusage usage;
  ::wait4(child, &status, 0, &usage);
  const auto end = std::chrono::steady_clock::now();
  task.seconds.push_back(std::chrono::duration<double>(end - start).count());
  const auto of = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  task.cores.push_back((of(usage.ru_utime) + of(usage.ru_stime)) / task.seconds.back());
  task.peak = std::max(task.peak, static_cast<double>(usage.ru_maxrss) * 1024);
  task.failed = task.failed || !WIFEXITED(status) || WEXITSTATUS(status) != 0;
  task.distance = distance_in(text);
}

double median(std::vector<double> values) {
  std::ranges::sort(values);
  const std::size_t n = values.size();
  return n == 0 ? NAN : 0.5 * (values[(n - 1) / 2] + values[n / 2]);
}

void print(const std::vector<Task>& tasks, double truth, double file_bytes) {
  std::printf("%-20s %4s %9s %9s %8s %8s %10s %6s %12s\n",
              "",
              "runs",
              "median s",
              "least s",
              "x bare",
              "x look",
              "peak MiB",
              "cores",
              "error um");
  const double bare = median(tasks[0].seconds), ours = median(tasks[1].seconds);
  for (const Task& t : tasks) {
    const double m = median(t.seconds);
    std::printf("%-20s %4zu %9.3f %9.3f %8.2f %8.2f %10.1f %6.2f",
                t.name.c_str(),
                t.seconds.size(),
                m,
                *std::ranges::min_element(t.seconds),
                m / bare,
                m / ours,
                t.peak / kMiB,
                median(t.cores));
    if (t.distance) std::printf(" %12.3f", 1000 * (*t.distance - truth));
    std::printf("%s\n", t.failed ? "  FAILED" : "");
  }
  std::printf("file %.1f MiB; 64 MiB + half of it: %.1f MiB\n",
              file_bytes / kMiB,
              64 + 0.5 * file_bytes / kMiB);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) {
    std::fputs("usage: time_runs FILE TRUTH_MM < COMMANDS\n", stderr);
    return 64;
  }
  std::vector<Task> tasks;
  int rounds = 0;
  for (std::string line; std::getline(std::cin, line);) {
    tasks.push_back(parse(line));
    rounds = std::max(rounds, tasks.back().runs);
    if (tasks.back().command.empty() || tasks.back().runs < 1) return 64;
  }
  if (tasks.size() < 2) return 64;
  for (int round = 0; round < rounds; ++round)
    for (Task& task : tasks)
      if (round < task.runs) run(task);
  print(tasks, std::atof(argv[2]), static_cast<double>(std::filesystem::file_size(argv[1])));
  return std::ranges::any_of(tasks, &Task::failed) ? 1 : 0;
}
