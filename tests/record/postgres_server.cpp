#include "record/postgres_server.h"

#include <algorithm>
#include <fstream>
#include <vector>

#include <fcntl.h>
#include <grp.h>
#include <libpq-fe.h>
#include <pwd.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

namespace rigproof {
namespace {

namespace fs = std::filesystem;

/// The newest installed version.
fs::path programs() {
  std::vector<fs::path> found;
  std::error_code ec;
  for (const auto& entry : fs::directory_iterator("/usr/lib/postgresql", ec))
    if (fs::exists(entry.path() / "bin/postgres")) found.push_back(entry.path() / "bin");
  return found.empty() ? fs::path() : *std::ranges::max_element(found);
}

const passwd* unprivileged() {
  if (::geteuid() != 0) return nullptr;
  const passwd* user = ::getpwnam("postgres");
  return user ? user : ::getpwnam("nobody");
}

/// Never returns to the caller's code: runs the program in a child, quietly.
pid_t launch(std::vector<std::string> words, const fs::path& folder) {
  const passwd* user = unprivileged();
  const pid_t child = ::fork();
  if (child != 0) return child;
  if (user &&
      (::setgroups(0, nullptr) != 0 || ::setgid(user->pw_gid) != 0 || ::setuid(user->pw_uid) != 0))
    ::_exit(126);
  if (::chdir(folder.c_str()) != 0) ::_exit(126);
  const int log = ::open("server.log", O_WRONLY | O_CREAT | O_APPEND, 0600);
  ::dup2(log, 1);
  ::dup2(log, 2);
  std::vector<char*> argv;
  for (auto& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  ::execv(argv[0], argv.data());
  ::_exit(127);
}

}  // namespace

std::unique_ptr<PostgresServer> PostgresServer::start() {
  const fs::path bin = programs();
  if (bin.empty()) return nullptr;
  auto server = std::make_unique<PostgresServer>();
  // Short, because a socket's path has at most 107 bytes; mkdtemp puts others for the last six.
  std::string name = "/tmp/rigproof-pg-" + std::string(6, 'X');
  if (!::mkdtemp(name.data())) return nullptr;
  server->folder_ = name;
  if (const passwd* user = unprivileged()) {
    if (::chown(name.c_str(), user->pw_uid, user->pw_gid) != 0) return nullptr;
  }
  int status = 0;
  ::waitpid(launch({(bin / "initdb").string(),
                    "-D",
                    "data",
                    "-U",
                    "rigproof",
                    "-A",
                    "trust",
                    "--no-sync",
                    "--no-locale",
                    "-E",
                    "UTF8"},
                   name),
            &status,
            0);
  if (status != 0) return nullptr;
  server->pid_ = launch({(bin / "postgres").string(),
                         "-D",
                         "data",
                         "-k",
                         name,
                         "-c",
                         "listen_addresses=",
                         "-c",
                         "max_connections=20"},
                        name);
  for (int i = 0; i < 600; ++i) {
    if (PQping(server->url().c_str()) == PQPING_OK) return server;
    ::usleep(50'000);
  }
  return nullptr;
}

PostgresServer::~PostgresServer() {
  if (pid_ > 0) {
    ::kill(pid_, SIGINT);  // PostgreSQL's fast shutdown
    ::waitpid(pid_, nullptr, 0);
  }
  std::error_code ec;
  fs::remove_all(folder_, ec);
}

std::string PostgresServer::url() const {
  return "postgresql:///postgres?user=rigproof&host=" + folder_.string();
}

}  // namespace rigproof
