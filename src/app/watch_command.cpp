#include "app/watch_command.h"

#include <map>
#include <memory>
#include <thread>

#include <fmt/format.h>

#include "app/console.h"
#include "app/folder_poll.h"
#include "app/interrupt.h"
#include "app/plan_files.h"
#include "app/scan_intake.h"
#include "app/watch_screen.h"
#include "base/atomic_file.h"
#include "base/error.h"
#include "base/folder.h"
#include "base/input_file.h"
#include "record/watch_json.h"
#include "scan/scan.h"
#include "seal/seal.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using Clock = FolderPoll::Clock;
using std::chrono::milliseconds;

constexpr milliseconds kPoll{200};
constexpr milliseconds kUnfinished{4000};  // a file cut short may still be growing
constexpr double kSettle_s = 1.0;

struct WatchOptions {
  std::string session, scans, language = "en";
  std::optional<double> settle_s;
  bool once = false;
};

// Fewer points than the header promises: cut short, or still being written.
bool is_cut_short(const fs::path& file, const Rig& rig) {
  try {
    ScanOptions options;
    options.unit_mm = rig.unit_mm;
    Scan::open(file, options);
  } catch (const TruncatedScan&) {
    return true;
  } catch (const Error&) {
    return false;  // judging says what is wrong with it
  }
  return false;
}

class Watch {
 public:
  Watch(const WatchOptions& o, const Console& console, Session session)
      : o_(o),
        console_(console),
        folder_(session.folder),
        own_(o.scans.empty()),
        running_(std::move(session)),
        intake_(folder_ / "scans"),
        settle_(static_cast<int>(1000 * o.settle_s.value_or(kSettle_s))),
        poll_(own_ ? folder_ / "scans" : fs::path(o.scans), settle_) {}

  void run() {
    take_what_is_there();
    show_progress();
    for (;;) {
      const bool calm = step();
      if (o_.once && calm) return;
      stop_if_interrupted();
      std::this_thread::sleep_for(kPoll);
    }
  }

 private:
  // Scans of an earlier run, or put there by hand.
  void take_what_is_there() {
    if (own_) return;  // the first look finds them
    for (const fs::path& file : running_.session().scans) {
      judge(file);
      stop_if_interrupted();
    }
  }

  // Returns whether nothing happened and nothing is on its way.
  bool step() {
    const FolderPoll::News news = poll_.look(Clock::now());
    if (news.reachable != reachable_) {
      reachable_ = news.reachable;
      say(reachable_ ? "note" : "waiting",
          "",
          reachable_ ? "the folder of the scans is back"
                     : "the folder of the scans cannot be read; waiting for it");
    }
    bool changed = false;
    std::vector<std::string> gone = news.gone;
    for (const std::string& name : news.settled) {
      if (own_ && renamed(name, gone))
        changed = true;
      else
        changed = take(name) || changed;
      stop_if_interrupted();
    }
    for (const std::string& name : gone)
      if (own_) {
        running_.drop("scans/" + name);
        seen_.erase(name);
        say("gone", name, "was deleted; it no longer counts");
        changed = true;
      }
    for (const std::string& name : news.growing) {
      Growing& file = growing_.try_emplace(name, Growing{Clock::now()}).first->second;
      if (file.told || Clock::now() - file.since < 2 * settle_) continue;
      file.told = true;
      say("waiting", name, "is still being written");
    }
    if (changed) show_progress();
    return !changed && news.settled.empty() && news.growing.empty();
  }

  // A new name with the size and time of a file that has just gone is that file.
  bool renamed(const std::string& name, std::vector<std::string>& gone) {
    const FileLook look = poll_.look_of(name);
    for (auto it = gone.begin(); it != gone.end(); ++it) {
      const auto before = seen_.find(*it);
      if (before == seen_.end() || !(before->second == look)) continue;
      running_.rename("scans/" + *it, "scans/" + name);
      say("renamed", name, "was " + *it + "; it keeps its place");
      seen_.erase(before);
      seen_[name] = look;
      gone.erase(it);
      return true;
    }
    return false;
  }

  // A writer may pause: what its own header calls cut short gets more time, once.
  bool unfinished(const fs::path& file, const std::string& name) {
    const FileLook look = poll_.look_of(name);
    if (!is_cut_short(file, running_.session().rig)) return false;
    const auto [at, fresh] = waited_.try_emplace(name);
    if (!fresh && at->second == look) return false;
    at->second = look;
    poll_.look_again(name, Clock::now(), std::max(settle_, kUnfinished));
    say("waiting", name, "is shorter than its header promises; waiting for the rest");
    return true;
  }

  bool take(const std::string& name) {
    const fs::path from = own_ ? folder_ / "scans" / name : fs::path(o_.scans) / name;
    if (unfinished(from, name)) return false;
    growing_.erase(name);
    if (own_) {
      seen_[name] = poll_.look_of(name);
      return judge(from, name);
    }
    ScanIntake::Taken taken;
    try {
      taken = intake_.take(from);
    } catch (const Error& error) {
      if (error.kind() != ErrorKind::missing) throw;
      return false;  // deleted between look and copy
    }
    switch (taken.what) {
      case ScanIntake::Taken::What::changed:
        poll_.look_again(name, Clock::now(), settle_);
        return false;
      case ScanIntake::Taken::What::known:
        if (taken.earlier != name)
          say("note", name, "is " + taken.earlier + " under another name; not taken again");
        return false;
      case ScanIntake::Taken::What::copied:
        if (taken.file.filename() != name)
          say("note",
              name,
              "differs from the scan of that name in the session; kept beside it as " +
                  taken.file.filename().string());
        return judge(taken.file);
    }
    return false;
  }

  bool judge(const fs::path& file, const std::string& polled = "") {
    const auto start = Clock::now();
    try {
      last_ = running_.take(file);
    } catch (const Error& error) {
      if (error.kind() != ErrorKind::missing && error.kind() != ErrorKind::io) throw;
      if (!polled.empty()) poll_.look_again(polled, Clock::now(), settle_);
      return false;
    }
    const double seconds = std::chrono::duration<double>(Clock::now() - start).count();
    if (console_.json)
      console_.result(scan_line(*last_, seconds));
    else
      console_.result(scan_words(*last_, seconds));
    return true;
  }

  void show_progress() {
    const SessionProgress progress = running_.progress();
    if (console_.json)
      console_.result(progress_line(progress));
    else
      console_.result(progress_words(progress, terminal_columns()));
    ReportOptions report;
    report.language = o_.language;
    write_atomically(
        folder_ / "status.html",
        status_html(status_view(running_.session(), progress, last_ ? &*last_ : nullptr), report));
  }

  void say(const std::string& event, const std::string& file, const std::string& text) {
    if (console_.json)
      console_.result(event_line(event, file, text));
    else
      console_.talk(file.empty() ? text : display(file) + " " + display(text));
  }

  // Told once, and only when it takes longer than a file that merely has to stand still.
  struct Growing {
    Clock::time_point since;
    bool told = false;
  };

  const WatchOptions& o_;
  const Console& console_;
  fs::path folder_;
  bool own_;
  RunningSession running_;
  ScanIntake intake_;
  milliseconds settle_;
  FolderPoll poll_;
  std::map<std::string, FileLook> seen_, waited_;
  std::map<std::string, Growing> growing_;
  std::optional<ScanNote> last_;
  bool reachable_ = true;
};

int run_watch(const WatchOptions& o, const Console& console) {
  const fs::path folder = o.session.empty() ? "." : o.session;
  if (!fs::exists(folder / "session.toml"))
    throw Error(o.session.empty() ? ErrorKind::usage : ErrorKind::missing,
                display(folder) + ": holds no session.toml",
                "Name a session folder, or make one: rigproof new");
  if (!o.scans.empty() && !fs::is_directory(o.scans))
    throw Error(ErrorKind::missing,
                o.scans + ": is not a folder",
                "Name the folder into which the rig's software exports its scans.");
  if (o.settle_s && !(*o.settle_s >= 0.1 && *o.settle_s <= 600))
    throw Error(ErrorKind::usage,
                fmt::format("--settle {} is not from 0.1 to 600", *o.settle_s),
                "Give seconds: one for a local folder, more for a slow network, e.g. --settle 5.");
  const FolderLock lock(folder, FolderLock::Kind::shared);
  Session session = load_session(folder);
  if (is_sealed(folder))
    throw Error(ErrorKind::cannot_create,
                display(folder) + ": is sealed and never written again",
                "Make a new session: rigproof new --after " + display(folder));
  if (!fs::exists(session.folder / "plan.toml") && session.field()) {
    console.talk("Planning the positions …");
    write_plan_file(session, make_plan(session, {.compare = false}));
  }
  WatchOptions from = o;
  if (!o.scans.empty() && fs::equivalent(o.scans, folder / "scans")) from.scans.clear();
  const auto say_next = [&] { console.talk("Next: rigproof assess " + display(folder)); };
  try {
    Watch(from, console, std::move(session)).run();
  } catch (const Interrupted&) {
    say_next();  // Ctrl-C is how watching usually ends
    throw;
  }
  say_next();
  return 0;
}

}  // namespace

Command watch_command() {
  auto o = std::make_shared<WatchOptions>();
  return {"watch",
          "While scanning: each settled file is judged within seconds, with what comes next.",
          {"rigproof watch 2026-03-14-R12-300-acceptance",
           "rigproof watch --scans /mnt/rig/export",
           "rigproof watch --json --once"},
          {{"SESSION", "SESSION", "a session folder (default the current one)", &o->session},
           {"--scans",
            "DIR",
            "where the rig's software exports to; copied into the session",
            &o->scans},
           {"--settle", "S", "seconds that a file must stand still (default 1)", &o->settle_s},
           {"--once", "", "end when every file that is there has been judged", &o->once},
           {"--lang", "CODE", "language of status.html (en)", &o->language}},
          "0 with --once · 130 ended by Ctrl-C; all that was judged stays · 64–78 errors",
          [o](Console& console) { return run_watch(*o, console); }};
}

}  // namespace rigproof
