#include "inputs/withdraw.h"

#include <algorithm>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "inputs/near_name.h"
#include "inputs/toml_writer.h"

namespace rigproof {

namespace fs = std::filesystem;

namespace {

std::string ended(std::string text) {
  if (!text.empty() && text.back() != '\n') text += '\n';
  return text;
}

/// The line put behind `file = "…"` of this scan; the text as it is where there is none.
std::string with_line_after_file(std::string text,
                                 const std::string& scan,
                                 const std::string& line) {
  text = ended(std::move(text));
  for (std::size_t at = 0, end = 0; at < text.size(); at = end) {
    end = text.find('\n', at) + 1;
    std::string words = text.substr(at, end - at);
    std::erase_if(words, [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; });
    if (!words.starts_with("file=" + toml_text(scan))) continue;
    return text.insert(end, line);
  }
  return text;
}

bool is_withdrawn(const fs::path& folder, const std::string& scan) {
  try {
    const Session session = load_session(folder);
    const auto it = std::ranges::find(session.overrides, scan, &ScanOverride::file);
    return it != session.overrides.end() && !it->withdrawn.empty();
  } catch (const Error&) {
    return false;
  }
}

}  // namespace

std::string named_scan(const Session& session, const std::string& name) {
  std::vector<std::string> known, meant;
  for (const fs::path& scan : session.scans) {
    const std::string file = "scans/" + scan.filename().string();
    known.push_back(scan.filename().string());
    if (name == file || name == known.back()) return file;
    if (name == scan.stem().string()) meant.push_back(file);
  }
  if (meant.size() == 1) return meant.front();
  if (meant.empty())
    throw Error(ErrorKind::usage,
                "there is no scan \"" + display(name) + "\" in the session",
                did_you_mean(name, known));
  throw Error(ErrorKind::usage,
              "\"" + display(name) + "\" may be " + listed(meant),
              "Name the file with its ending.");
}

void withdraw_scan(const Session& session, const std::string& scan, const std::string& why) {
  if (why.find_first_not_of(" \t\r\n") == std::string::npos)
    throw Error(ErrorKind::usage,
                "a scan is withdrawn for a reason",
                "Say what went wrong: --why \"the stand was touched\".");
  const auto it = std::ranges::find(session.overrides, scan, &ScanOverride::file);
  if (it != session.overrides.end() && !it->withdrawn.empty())
    throw Error(ErrorKind::usage,
                display(scan) + " is withdrawn already: " + display(it->withdrawn),
                "The first reason stands.");
  const fs::path file = session.folder / "session.toml";
  const std::string before = read_text(file);
  const bool listed = it != session.overrides.end();
  const std::string line = "withdrawn = " + toml_text(why) + "\n";
  write_atomically(file,
                   listed ? with_line_after_file(before, scan, line)
                          : ended(before) + "\n[[scan]]\nfile = " + toml_text(scan) + "\n" + line);
  if (is_withdrawn(session.folder, scan)) return;
  // Written in another way of TOML: whole, and without its comments.
  Session changed = session;
  if (listed)
    changed.overrides[static_cast<std::size_t>(it - session.overrides.begin())].withdrawn = why;
  else
    changed.overrides.push_back({scan, "", "", std::nullopt, why, ""});
  write_atomically(file, to_toml(changed));
}

}  // namespace rigproof
