#include "app/history_files.h"

#include <fstream>

#include <fmt/format.h>

#include "app/interrupt.h"
#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"

namespace rigproof {
namespace fs = std::filesystem;

void export_history(const Store& store, const fs::path& file, const Console& console) {
  const auto checks = store.checks();
  const auto events = store.events();
  AtomicFile out(file);
  for (const HistoryCheck& check : checks) out.write(to_json_line(check));
  for (const HistoryEvent& event : events) out.write(to_json_line(event));
  out.commit();
  console.talk(fmt::format(
      "{} checks and {} events written to {}", checks.size(), events.size(), safe(file.string())));
}

void import_history(const fs::path& file, Store& store, const Console& console) {
  std::ifstream in(file, std::ios::binary);
  if (!in)
    throw Error(ErrorKind::missing,
                display(file) + ": cannot be read",
                "Name a file that rigproof rigs --export wrote.");
  std::vector<HistoryLine> lines;
  int number = 0;
  for (std::string line; std::getline(in, line);) {
    ++number;
    if (!line.empty())
      lines.push_back(parse_json_line(line, fmt::format("{}:{}", display(file), number)));
  }
  int added = 0;
  for (const HistoryLine& line : lines) {
    stop_if_interrupted();
    added += line.check ? store.add(*line.check) : store.add(*line.event);
  }
  console.talk(fmt::format("{} of {} entries are new", added, lines.size()));
}

}  // namespace rigproof
