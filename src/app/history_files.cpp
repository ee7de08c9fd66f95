#include "app/history_files.h"

#include <algorithm>
#include <fstream>
#include <memory>

#include <fmt/format.h>

#include "app/interrupt.h"
#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "inputs/session_folder.h"
#include "record/results_reader.h"
#include "seal/layout.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr std::streamsize kMostLineBytes = 64 << 20;

std::string modified_utc(const fs::path& file) {
  return utc_text(std::chrono::file_clock::to_sys(fs::last_write_time(file)));
}

/// results.json of every run of a session, by name.
std::vector<fs::path> runs_of(const fs::path& session) {
  std::vector<fs::path> out;
  for (const auto& entry : fs::directory_iterator(session)) {
    const std::string name = entry.path().filename().string();
    if (!entry.is_directory() || !name.starts_with("out")) continue;
    const fs::path results = path_within(session, name + "/results.json");
    if (fs::is_regular_file(results)) out.push_back(results);
  }
  std::ranges::sort(out);
  return out;
}

struct Count {
  int sessions = 0, added = 0;
};

void take_session(const fs::path& folder, Store& store, Count& count) {
  const std::vector<fs::path> runs = runs_of(folder);
  if (runs.empty()) return;
  const Session session = load_session(folder);
  ++count.sessions;
  for (const fs::path& file : runs) {
    const StoredResults stored = results_from_json(read_text(file, kMostResultBytes), session);
    if (auto check = history_check(stored.results, modified_utc(file), stored.version))
      count.added += store.add(*check);
  }
}

}  // namespace

void export_history(const Store& store, const fs::path& file, const Console& console) {
  const auto checks = store.checks();
  const auto events = store.events();
  AtomicFile out(file);
  for (const HistoryCheck& check : checks) out.write(to_json_line(check));
  for (const HistoryEvent& event : events) out.write(to_json_line(event));
  out.commit();
  console.talk(fmt::format(
      "{} checks and {} events written to {}", checks.size(), events.size(), display(file)));
}

void import_history(const fs::path& file, Store& store, const Console& console) {
  const InputFile regular(file);  // refuses folders and pipes
  std::ifstream in(file, std::ios::binary);
  if (!in)
    throw Error(ErrorKind::missing,
                display(file) + ": cannot be read",
                "Name a file that rigproof rigs --export wrote.");
  std::vector<HistoryLine> lines;
  const auto buffer = std::make_unique_for_overwrite<char[]>(kMostLineBytes);
  for (int number = 1; in.getline(buffer.get(), kMostLineBytes) || in.gcount() > 0; ++number) {
    if (in.bad()) break;
    const std::string place = fmt::format("{}:{}", display(file), number);
    if (in.fail())
      throw Error(ErrorKind::data,
                  place + fmt::format(": a line of more than {} MiB", kMostLineBytes >> 20),
                  "Nothing was imported; name a file that rigproof rigs --export wrote.");
    const std::string_view text(buffer.get(), in.gcount() - (in.eof() ? 0 : 1));
    if (!text.empty()) lines.push_back(parse_json_line(std::string(text), place));
  }
  if (in.bad())
    throw Error(ErrorKind::io,
                display(file) + ": cannot be read to its end",
                "Nothing was imported; copy the file to a sound disk.");
  int added = 0;
  for (const HistoryLine& line : lines) {
    stop_if_interrupted();
    added += line.check ? store.add(*line.check) : store.add(*line.event);
  }
  console.talk(fmt::format("{} of {} entries are new", added, lines.size()));
}

void rebuild_history(const fs::path& folder, Store& store, const Console& console) {
  std::error_code ec;
  if (!fs::is_directory(folder, ec))
    throw Error(ErrorKind::missing,
                display(folder) + ": is not a folder",
                "Name the folder that the session folders lie in.");
  std::vector<fs::path> sessions;
  const auto options = fs::directory_options::skip_permission_denied;
  for (auto it = fs::recursive_directory_iterator(folder, options); it != fs::end(it); ++it)
    if (it->path().filename() == "session.toml") sessions.push_back(it->path().parent_path());
  std::ranges::sort(sessions);
  Count count;
  for (const fs::path& session : sessions) {
    stop_if_interrupted();
    try {
      take_session(session, store, count);
    } catch (const Error& error) {
      console.problem("rigproof: left out: " + safe(error.what()));
    } catch (const fs::filesystem_error& error) {
      console.problem("rigproof: left out: " + display(session) + ": " + error.code().message());
    }
  }
  console.talk(
      fmt::format("{} sessions with results, {} entries are new", count.sessions, count.added));
}

}  // namespace rigproof
