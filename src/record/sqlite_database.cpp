// The one file that speaks to SQLite.
#include <chrono>
#include <thread>

#include <sqlite3.h>

#include "base/error.h"
#include "base/folder.h"
#include "base/input_file.h"
#include "record/database.h"

namespace rigproof {
namespace {

constexpr int kBusyMs = 60'000;  // a writer waits this long for others

/// The same file by a path on which no folder is a link, as homes and data disks often are. SQLite
/// is told to follow none at all, so that the file itself is none.
std::filesystem::path by_real_folder(const std::filesystem::path& file) {
  std::error_code ec;
  const auto folder = std::filesystem::canonical(parent_of(file), ec);
  return ec ? file : folder / file.filename();
}

class SqliteDatabase final : public Database {
 public:
  explicit SqliteDatabase(const std::filesystem::path& file) : file_(file) {
    const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOFOLLOW;
    if (sqlite3_open_v2(by_real_folder(file).c_str(), &db_, flags, nullptr) != SQLITE_OK) {
      const std::string why = db_ ? sqlite3_errmsg(db_) : "out of memory";
      sqlite3_close(db_);
      throw Error(ErrorKind::cannot_create,
                  display(file) + ": the history store cannot be opened: " + why,
                  "Check that its folder exists and that you may write there.");
    }
    try {
      set_up();
    } catch (...) {
      sqlite3_close(db_);
      throw;
    }
  }
  ~SqliteDatabase() override { sqlite3_close(db_); }
  SqliteDatabase(const SqliteDatabase&) = delete;
  SqliteDatabase& operator=(const SqliteDatabase&) = delete;

  void begin() override { change("BEGIN IMMEDIATE"); }
  void commit() override { change("COMMIT"); }
  void roll_back() noexcept override {
    if (!sqlite3_get_autocommit(db_)) sqlite3_exec(db_, "ROLLBACK", nullptr, nullptr, nullptr);
  }
  std::int64_t change(const std::string& statement, const Row& parameters = {}) override {
    read(statement, parameters, {});
    return sqlite3_changes64(db_);
  }
  void read(const std::string& query,
            const Row& parameters,
            const std::function<void(const Row&)>& row) override;
  void make_append_only(const std::string& table) override {
    for (const char* what : {"UPDATE", "DELETE"})
      change("CREATE TRIGGER IF NOT EXISTS " + table + "_no_" + what + " BEFORE " + what + " ON " +
             table + " BEGIN SELECT RAISE(ABORT, 'the history is append-only'); END");
  }
  void lock_schema() override {}  // BEGIN IMMEDIATE does
  std::string name() const override { return display(file_); }

 private:
  void set_up();
  [[noreturn]] void fail() const;

  std::filesystem::path file_;
  sqlite3* db_ = nullptr;
};

void SqliteDatabase::fail() const {
  const int code = sqlite3_errcode(db_) & 0xff;
  const std::string what = display(file_) + ": history store: " + sqlite3_errmsg(db_);
  if (code == SQLITE_NOTADB || code == SQLITE_CORRUPT)
    throw Error(ErrorKind::data,
                what,
                "Move the file away and rebuild it: rigproof rigs --rebuild FOLDER_OF_SESSIONS.");
  throw Error(ErrorKind::io,
              what,
              "Check free space and permissions; sessions can be added later with rigproof rigs "
              "--rebuild FOLDER_OF_SESSIONS.");
}

/// Readers and writers do not block each other (write-ahead log), and a commit is on disk before it
/// is believed. The switch of the log mode does not wait for others by itself.
void SqliteDatabase::set_up() {
  sqlite3_busy_timeout(db_, kBusyMs);
  for (int tries = 0;; ++tries) {
    if (sqlite3_exec(db_, "PRAGMA journal_mode=WAL", nullptr, nullptr, nullptr) == SQLITE_OK) break;
    if ((sqlite3_errcode(db_) & 0xff) != SQLITE_BUSY || tries > 2000) fail();
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  change("PRAGMA synchronous=FULL");
}

void bind(sqlite3_stmt* statement, int index, const Cell& cell) {
  if (const auto* real = std::get_if<double>(&cell))
    sqlite3_bind_double(statement, index, *real);
  else if (const auto* whole = std::get_if<std::int64_t>(&cell))
    sqlite3_bind_int64(statement, index, *whole);
  else if (const auto* text = std::get_if<std::string>(&cell))
    sqlite3_bind_text64(
        statement, index, text->data(), text->size(), SQLITE_TRANSIENT, SQLITE_UTF8);
  else
    sqlite3_bind_null(statement, index);
}

Cell cell_of(sqlite3_stmt* statement, int column) {
  switch (sqlite3_column_type(statement, column)) {
    case SQLITE_NULL:
      return {};
    case SQLITE_INTEGER:
      return static_cast<std::int64_t>(sqlite3_column_int64(statement, column));
    case SQLITE_FLOAT:
      return sqlite3_column_double(statement, column);
    default: {
      const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(statement, column));
      return std::string(text, static_cast<std::size_t>(sqlite3_column_bytes(statement, column)));
    }
  }
}

void SqliteDatabase::read(const std::string& query,
                          const Row& parameters,
                          const std::function<void(const Row&)>& row) {
  sqlite3_stmt* raw = nullptr;
  const int prepared = sqlite3_prepare_v2(db_, query.c_str(), -1, &raw, nullptr);
  const std::unique_ptr<sqlite3_stmt, int (*)(sqlite3_stmt*)> statement(raw, sqlite3_finalize);
  if (prepared != SQLITE_OK) fail();
  for (std::size_t i = 0; i < parameters.size(); ++i)
    bind(raw, static_cast<int>(i) + 1, parameters[i]);
  Row cells;
  int step = 0;
  while ((step = sqlite3_step(raw)) == SQLITE_ROW) {
    if (!row) continue;
    cells.clear();
    for (int c = 0; c < sqlite3_column_count(raw); ++c) cells.push_back(cell_of(raw, c));
    row(cells);
  }
  if (step != SQLITE_DONE) fail();
}

}  // namespace

std::unique_ptr<Database> open_sqlite(const std::filesystem::path& file) {
  return std::make_unique<SqliteDatabase>(file);
}

}  // namespace rigproof
