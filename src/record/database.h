#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <variant>
#include <vector>

namespace rigproof {

/// NULL, a real number, a whole number or text.
using Cell = std::variant<std::monostate, double, std::int64_t, std::string>;
using Row = std::vector<Cell>;

/// What the history store needs of a database; statements are written once for all of them, with
/// $1, $2 … for parameters in the order of their use. Throws Error(io) when it fails, Error(data)
/// when what it holds is damaged.
class Database {
 public:
  virtual ~Database() = default;
  virtual void begin() = 0;  ///< a transaction that may write
  virtual void commit() = 0;
  virtual void roll_back() noexcept = 0;
  /// Returns the number of rows that it changed.
  virtual std::int64_t change(const std::string& statement, const Row& parameters = {}) = 0;
  virtual void read(const std::string& query,
                    const Row& parameters,
                    const std::function<void(const Row&)>& row) = 0;
  /// Makes a table refuse every change of a row that it holds.
  virtual void make_append_only(const std::string& table) = 0;
  /// Only one process at a time passes until the end of the transaction.
  virtual void lock_schema() = 0;
  virtual std::string name() const = 0;  ///< for messages, without a password
};

std::unique_ptr<Database> open_sqlite(const std::filesystem::path& file);
std::unique_ptr<Database> open_postgres(const std::string& url);

/// Rolls back what was not committed.
class Transaction {
 public:
  explicit Transaction(Database& database) : database_(database) { database_.begin(); }
  ~Transaction() {
    if (!done_) database_.roll_back();
  }
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  void commit() {
    database_.commit();
    done_ = true;
  }

 private:
  Database& database_;
  bool done_ = false;
};

}  // namespace rigproof
