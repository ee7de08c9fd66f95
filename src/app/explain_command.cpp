#include "app/explain_command.h"

#include <filesystem>
#include <memory>

#include "app/console.h"
#include "app/interrupt.h"
#include "assess/assess.h"
#include "assess/explanation.h"
#include "base/error.h"
#include "base/input_file.h"
#include "record/explanation_json.h"
#include "report/explain.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostNamed = 24;

struct ExplainCommandOptions {
  std::vector<std::string> words;  // the session first, unless the current folder is one
  bool monte_carlo = false;
};

bool is_session(const fs::path& folder) {
  std::error_code ec;
  return fs::is_regular_file(folder / "session.toml", ec);
}

std::string names(const std::vector<Explanation>& found) {
  std::string out;
  for (std::size_t i = 0; i < found.size() && i < kMostNamed; ++i) {
    const TestValue& v = found[i].value();
    out += "\n  " + value_name(v) + (v.place.empty() ? "" : "  (" + v.place + ")");
  }
  if (found.size() > kMostNamed)
    out += "\n  … and " + std::to_string(found.size() - kMostNamed) + " more";
  return out;
}

/// The one value that the words name.
Explanation the_value(const Results& results, const std::string& words) {
  std::vector<Explanation> found = find_values(results, words);
  if (found.size() == 1) return found.front();
  if (found.size() > 1)
    throw Error(ErrorKind::usage,
                "\"" + words + "\" names " + std::to_string(found.size()) + " values",
                "Add a word that tells them apart (scan, place, ball, worst):" + names(found));
  std::string next = "The session's values are:" + names(find_values(results, ""));
  for (const ScanRecord& scan : results.scans)
    if (scan.status != ScanStatus::used)
      next += "\n  none of " + scan.file + ": " + to_string(scan.status) + ", " + scan.reason;
  throw Error(ErrorKind::usage, "no value of this session is named \"" + words + "\"", next);
}

int run(const ExplainCommandOptions& o, Console& console) {
  std::vector<std::string> words = o.words;
  fs::path folder = ".";
  if (is_session(words.front())) {
    folder = words.front();
    words.erase(words.begin());
  } else if (!is_session(folder)) {
    throw Error(ErrorKind::missing,
                words.front() + " is no session folder",
                "Name the session before the value: rigproof explain SESSION VALUE");
  }
  std::string value;
  for (const std::string& word : words) value += (value.empty() ? "" : " ") + word;
  const Session session = load_session(folder);
  AssessOptions options;
  Progress progress(console, "scan", session.scans.size());
  options.progress = [&](const std::string& scan) {
    progress.step(scan);
    stop_if_interrupted();
  };
  const Results results = assess(session, options);
  Explanation e = the_value(results, value);
  if (o.monte_carlo)
    e.monte_carlo =
        check_by_monte_carlo(e.value(), e.judged->decision ? e.judged->decision->limit : 0);
  console.result(console.json ? explanation_json(e) : safe(explanation_text(e)));
  console.talk("Next: rigproof explain " + display(folder) + " \"" + value_name(e.value()) +
               "\" --monte-carlo --json");
  return exit_within;
}

}  // namespace

Command explain_command() {
  auto o = std::make_shared<ExplainCommandOptions>();
  return {"explain",
          "One number from raw points to verdict, so that it can be computed again by hand.",
          {"rigproof explain 2026-03-14-R12-300-acceptance SD worst",
           "rigproof explain . sphere_spacing@scan003 --monte-carlo",
           "rigproof explain . PF@scan014 A --json"},
          {{"VALUE",
            "[SESSION] VALUE",
            "the session folder, then words that name one value: characteristic or symbol, scan, "
            "place, zone, artefact, ball, pair A-B, worst",
            &o->words,
            true},
           {"--monte-carlo", "", "also propagate the budget's distributions", &o->monte_carlo}},
          "0 explained · 64 no or several values of that name · 65–78 errors",
          [o](Console& console) { return run(*o, console); }};
}

}  // namespace rigproof
