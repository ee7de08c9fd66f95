#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "record/history.h"

namespace rigproof {

class Database;

/// The history of checks and events: SQLite in one file, or a PostgreSQL server for several
/// stations, with the same tables. Entries are added and never changed; every entry is on disk when
/// add() returns. Several processes may add at once. Throws Error(io), Error(cannot_create), and
/// Error(data) for a damaged file.
class Store {
 public:
  /// $RIGPROOF_STORE (a file, or postgresql://…), else <home>/store.db.
  static std::string location();
  /// False for a file that is not there yet.
  static bool exists(const std::string& location);

  /// Opens or creates. Throws Error(config) for a file on a network share and for an address that
  /// cannot be read.
  explicit Store(const std::string& location = Store::location());
  ~Store();

  /// False when the same entry is there already.
  bool add(const HistoryCheck& check);
  bool add(const HistoryEvent& event);

  /// Of one rig and field, or of all when both are empty; every run of a session, by day, session
  /// and time of recording.
  std::vector<HistoryCheck> checks(const std::string& rig = {},
                                   const std::string& field = {}) const;
  std::vector<HistoryEvent> events(const std::string& rig = {},
                                   const std::string& field = {}) const;

  /// Every rig and field with a check or an event, by name.
  std::vector<std::pair<std::string, std::string>> rigs() const;

  std::string name() const;  ///< for messages

 private:
  std::unique_ptr<Database> database_;
};

}  // namespace rigproof
