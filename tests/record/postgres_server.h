#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include <sys/types.h>

namespace rigproof {

/// A PostgreSQL server of its own in a temporary folder, reached by a socket there; as an
/// unprivileged user where the tests run as root. It ends with the object.
class PostgresServer {
 public:
  /// nullptr where no server is installed.
  static std::unique_ptr<PostgresServer> start();
  ~PostgresServer();
  std::string url() const;
  pid_t pid() const { return pid_; }

 private:
  std::filesystem::path folder_;
  pid_t pid_ = -1;
};

}  // namespace rigproof
