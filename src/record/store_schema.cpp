#include "record/store_schema.h"

#include "base/error.h"

namespace rigproof {
namespace {

/// The types mean the same to SQLite (affinities) and to PostgreSQL.
const std::vector<std::string>& schema() {
  static const std::vector<std::string> statements{
      R"(CREATE TABLE IF NOT EXISTS checks (
           id TEXT PRIMARY KEY, rig TEXT NOT NULL, field TEXT NOT NULL, session TEXT NOT NULL,
           kind TEXT NOT NULL, procedure TEXT NOT NULL, first_scan TEXT NOT NULL,
           day TEXT NOT NULL, calibration TEXT NOT NULL, verdict TEXT NOT NULL,
           headline TEXT NOT NULL, version TEXT NOT NULL, recorded TEXT NOT NULL))",
      "CREATE INDEX IF NOT EXISTS checks_by_rig ON checks (rig, field)",
      R"(CREATE TABLE IF NOT EXISTS check_values (
           check_id TEXT NOT NULL REFERENCES checks (id), position BIGINT NOT NULL,
           characteristic TEXT NOT NULL, artefact TEXT NOT NULL, feature TEXT NOT NULL,
           zone TEXT NOT NULL, place TEXT NOT NULL, scan TEXT NOT NULL,
           measured DOUBLE PRECISION, reference DOUBLE PRECISION, value DOUBLE PRECISION,
           expanded_u DOUBLE PRECISION, limit_mm DOUBLE PRECISION, verdict TEXT,
           PRIMARY KEY (check_id, position)))",
      R"(CREATE TABLE IF NOT EXISTS check_causes (
           check_id TEXT NOT NULL REFERENCES checks (id), position BIGINT NOT NULL,
           cause TEXT NOT NULL, unit TEXT NOT NULL, coefficient DOUBLE PRECISION,
           u DOUBLE PRECISION, PRIMARY KEY (check_id, position)))",
      R"(CREATE TABLE IF NOT EXISTS check_findings (
           check_id TEXT NOT NULL REFERENCES checks (id), position BIGINT NOT NULL,
           finding TEXT NOT NULL, severity TEXT NOT NULL, scan TEXT NOT NULL,
           PRIMARY KEY (check_id, position)))",
      R"(CREATE TABLE IF NOT EXISTS events (
           id TEXT PRIMARY KEY, rig TEXT NOT NULL, field TEXT NOT NULL, day TEXT NOT NULL,
           kind TEXT NOT NULL, note TEXT NOT NULL, recorded TEXT NOT NULL))"};
  return statements;
}

bool has_tables(Database& database) {
  try {
    database.read("SELECT first_scan FROM checks LIMIT 1", {}, [](const Row&) {});
    return true;
  } catch (const Error& error) {
    if (error.kind() == ErrorKind::data) throw;
    return false;
  }
}

}  // namespace

void set_up(Database& database) {
  if (has_tables(database)) return;
  Transaction transaction(database);
  database.lock_schema();
  for (const auto& statement : schema()) database.change(statement);
  for (const Table* table : {&kChecks, &kValues, &kCauses, &kFindings, &kEvents})
    database.make_append_only(table->name);
  transaction.commit();
  if (!has_tables(database))
    throw Error(ErrorKind::data,
                database.name() + ": was made by another version of the program",
                "Move it away and rebuild it: rigproof rigs --rebuild FOLDER_OF_SESSIONS.");
}

}  // namespace rigproof
