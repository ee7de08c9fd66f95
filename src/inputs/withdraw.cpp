#include "inputs/withdraw.h"

#include <algorithm>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "inputs/line.h"
#include "inputs/near_name.h"
#include "inputs/toml_reader.h"
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

/// The reason as session.toml can hold it.
void check_reason(const std::string& why) {
  if (why.find_first_not_of(" \t\r\n") == std::string::npos)
    throw Error(ErrorKind::usage,
                "a scan is withdrawn for a reason",
                "Say what went wrong: --why \"the stand was touched\".");
  check_line("--why", why, ErrorKind::usage);
}

/// Whether a session file of this text withdraws the scan for this reason, and is one at all.
bool withdraws(const std::string& text, const std::string& scan, const std::string& why) {
  try {
    for (const TomlTable& t : TomlTable::parse(text, "session.toml").tables("scan"))
      if (t.text("file") == scan) return t.text("withdrawn", "") == why;
  } catch (const Error&) {
    return false;
  }
  return false;
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
  check_reason(why);
  const auto it = std::ranges::find(session.overrides, scan, &ScanOverride::file);
  if (it != session.overrides.end() && !it->withdrawn.empty())
    throw Error(ErrorKind::usage,
                display(scan) + " is withdrawn already: " + display(it->withdrawn),
                "The first reason stands.");
  const fs::path file = session.folder / "session.toml";
  const std::string before = read_text(file);
  const bool listed = it != session.overrides.end();
  const std::string line = "withdrawn = " + toml_text(why) + "\n";
  std::string text = listed ? with_line_after_file(before, scan, line)
                            : ended(before) + "\n[[scan]]\nfile = " + toml_text(scan) + "\n" + line;
  if (!withdraws(text, scan, why)) {
    // Written in another way of TOML: whole, and without its comments.
    Session changed = session;
    if (listed)
      changed.overrides[static_cast<std::size_t>(it - session.overrides.begin())].withdrawn = why;
    else
      changed.overrides.push_back({scan, "", "", std::nullopt, why, ""});
    text = to_toml(changed);
  }
  if (!withdraws(text, scan, why))
    throw Error(ErrorKind::config,
                display(file) + ": the withdrawal of " + display(scan) + " cannot be put into it",
                "Write it there by hand: " + line.substr(0, line.size() - 1) +
                    " under [[scan]] with its file.");
  write_atomically(file, text);
}

}  // namespace rigproof
