#include "record/store.h"

#include <algorithm>
#include <cstdlib>
#include <limits>
#include <unordered_map>

#include "base/error.h"
#include "base/input_file.h"
#include "record/database.h"
#include "record/file_system.h"
#include "record/store_schema.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

/// INSERT of several rows at once; a row that is there already stays.
std::int64_t insert(Database& database, const Table& table, const std::vector<Row>& rows) {
  constexpr std::size_t kAtOnce = 200;  // below the fewest parameters that either takes, 32,766
  std::int64_t added = 0;
  for (std::size_t from = 0; from < rows.size(); from += kAtOnce) {
    std::string statement = "INSERT INTO " + table.name + " (" + table.columns + ") VALUES ";
    Row parameters;
    int number = 0;
    for (std::size_t r = from; r < std::min(rows.size(), from + kAtOnce); ++r) {
      statement += r == from ? "(" : ", (";
      for (int c = 0; c < table.width; ++c)
        statement += (c == 0 ? "$" : ", $") + std::to_string(++number);
      statement += ")";
      parameters.insert(parameters.end(), rows[r].begin(), rows[r].end());
    }
    added += database.change(statement + " ON CONFLICT DO NOTHING", parameters);
  }
  return added;
}

std::string text(const Cell& cell) {
  const auto* value = std::get_if<std::string>(&cell);
  return value ? *value : std::string();
}
double real(const Cell& cell) {
  if (const auto* whole = std::get_if<std::int64_t>(&cell)) return static_cast<double>(*whole);
  const auto* value = std::get_if<double>(&cell);
  return value ? *value : std::numeric_limits<double>::quiet_NaN();
}
std::int64_t place(std::size_t index) { return static_cast<std::int64_t>(index); }

bool is_postgres(const std::string& location) {
  return location.starts_with("postgresql://") || location.starts_with("postgres://");
}

std::unique_ptr<Database> open(const std::string& location) {
  if (is_postgres(location)) return open_postgres(location);
  if (const auto share = network_share(location))
    throw Error(ErrorKind::config,
                display(location) + ": the history store lies on a network share (" + *share +
                    "), where two stations can destroy it",
                "For several stations set RIGPROOF_STORE=postgresql://…; for one, to a file on its "
                "own disk. Sessions themselves may stay on the share.");
  std::error_code ec;
  if (fs::path(location).has_parent_path())
    fs::create_directories(fs::path(location).parent_path(), ec);
  return open_sqlite(location);
}

/// " WHERE rig = $1 AND field = $2", or nothing for all rigs.
std::string where(const std::string& rig, const std::string& alias) {
  return rig.empty() ? "" : " WHERE " + alias + "rig = $1 AND " + alias + "field = $2";
}
Row of(const std::string& rig, const std::string& field) {
  return rig.empty() ? Row{} : Row{rig, field};
}

/// Rows of a table that belong to the checks already read.
void read_parts(Database& database,
                const Table& table,
                const std::string& rig,
                const std::string& field,
                const std::unordered_map<std::string, HistoryCheck*>& by_id,
                const std::function<void(HistoryCheck&, const Row&)>& take) {
  std::string query = "SELECT " + table.columns + " FROM " + table.name;
  if (!rig.empty()) query += " WHERE check_id IN (SELECT id FROM checks" + where(rig, "") + ")";
  database.read(query + " ORDER BY check_id, position", of(rig, field), [&](const Row& row) {
    if (const auto it = by_id.find(text(row[0])); it != by_id.end()) take(*it->second, row);
  });
}

}  // namespace

std::string Store::location() {
  if (const char* given = std::getenv("RIGPROOF_STORE"); given && *given) return given;
  return (home_folder() / "store.db").string();
}

bool Store::exists(const std::string& location) {
  if (is_postgres(location)) return true;
  std::error_code ec;
  const fs::file_status status = fs::status(location, ec);
  if (status.type() == fs::file_type::none)
    throw Error(ErrorKind::missing,
                display(location) + ": cannot be looked at: " + ec.message(),
                "The history must lie in a folder that you may read.");
  return fs::exists(status);
}

Store::Store(const std::string& location) : database_(open(location)) { set_up(*database_); }
Store::~Store() = default;

std::string Store::name() const { return database_->name(); }

std::vector<std::pair<std::string, std::string>> Store::rigs() const {
  std::vector<std::pair<std::string, std::string>> out;
  database_->read(
      "SELECT rig, field FROM checks UNION SELECT rig, field FROM events ORDER BY rig, field",
      {},
      [&](const Row& r) { out.emplace_back(text(r[0]), text(r[1])); });
  return out;
}

bool Store::add(const HistoryCheck& c) {
  Transaction transaction(*database_);
  const Row head{c.id,
                 c.rig,
                 c.field,
                 c.session,
                 c.kind,
                 c.procedure,
                 c.first_scan,
                 c.day,
                 c.calibration,
                 c.verdict,
                 c.headline,
                 c.version,
                 c.recorded};
  if (insert(*database_, kChecks, {head}) == 0) return false;
  std::vector<Row> rows;
  for (std::size_t i = 0; i < c.values.size(); ++i) {
    const HistoryValue& v = c.values[i];
    rows.push_back({c.id,
                    place(i),
                    v.characteristic,
                    v.artefact,
                    v.feature,
                    v.zone,
                    v.place,
                    v.scan,
                    v.measured,
                    v.reference,
                    v.value,
                    v.U,
                    v.limit ? Cell(*v.limit) : Cell(),
                    v.verdict.empty() ? Cell() : Cell(v.verdict)});
  }
  insert(*database_, kValues, rows);
  rows.clear();
  for (std::size_t i = 0; i < c.causes.size(); ++i)
    rows.push_back(
        {c.id, place(i), c.causes[i].id, c.causes[i].unit, c.causes[i].coefficient, c.causes[i].u});
  insert(*database_, kCauses, rows);
  rows.clear();
  for (std::size_t i = 0; i < c.findings.size(); ++i)
    rows.push_back({c.id, place(i), c.findings[i].id, c.findings[i].severity, c.findings[i].scan});
  insert(*database_, kFindings, rows);
  transaction.commit();
  return true;
}

bool Store::add(const HistoryEvent& e) {
  Transaction transaction(*database_);
  const bool added =
      insert(*database_, kEvents, {{e.id, e.rig, e.field, e.day, e.kind, e.note, e.recorded}}) > 0;
  transaction.commit();
  return added;
}

std::vector<HistoryCheck> Store::checks(const std::string& rig, const std::string& field) const {
  std::vector<HistoryCheck> out;
  database_->read("SELECT " + kChecks.columns + " FROM checks" + where(rig, "") +
                      " ORDER BY day, session, recorded, id",
                  of(rig, field),
                  [&](const Row& r) {
                    HistoryCheck c;
                    std::size_t i = 0;
                    for (std::string* to : {&c.id,
                                            &c.rig,
                                            &c.field,
                                            &c.session,
                                            &c.kind,
                                            &c.procedure,
                                            &c.first_scan,
                                            &c.day,
                                            &c.calibration,
                                            &c.verdict,
                                            &c.headline,
                                            &c.version,
                                            &c.recorded})
                      *to = text(r[i++]);
                    out.push_back(std::move(c));
                  });
  std::unordered_map<std::string, HistoryCheck*> by_id;
  for (HistoryCheck& c : out) by_id[c.id] = &c;
  read_parts(*database_, kValues, rig, field, by_id, [](HistoryCheck& c, const Row& r) {
    HistoryValue v;
    std::size_t i = 2;
    for (std::string* to : {&v.characteristic, &v.artefact, &v.feature, &v.zone, &v.place, &v.scan})
      *to = text(r[i++]);
    for (double* to : {&v.measured, &v.reference, &v.value, &v.U}) *to = real(r[i++]);
    if (!std::holds_alternative<std::monostate>(r[12])) v.limit = real(r[12]);
    v.verdict = text(r[13]);
    c.values.push_back(std::move(v));
  });
  read_parts(*database_, kCauses, rig, field, by_id, [](HistoryCheck& c, const Row& r) {
    c.causes.push_back({text(r[2]), text(r[3]), real(r[4]), real(r[5])});
  });
  read_parts(*database_, kFindings, rig, field, by_id, [](HistoryCheck& c, const Row& r) {
    c.findings.push_back({text(r[2]), text(r[3]), text(r[4])});
  });
  return out;
}

std::vector<HistoryEvent> Store::events(const std::string& rig, const std::string& field) const {
  std::vector<HistoryEvent> out;
  database_->read(
      "SELECT " + kEvents.columns + " FROM events" + where(rig, "") + " ORDER BY day, recorded, id",
      of(rig, field),
      [&](const Row& r) {
        out.push_back(
            {text(r[0]), text(r[1]), text(r[2]), text(r[3]), text(r[4]), text(r[5]), text(r[6])});
      });
  return out;
}

}  // namespace rigproof
