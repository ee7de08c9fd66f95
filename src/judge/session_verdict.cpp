#include "judge/session_verdict.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "evaluate/characteristic.h"

namespace rigproof {
namespace {

std::string group_of(const std::string& id) {
  const Characteristic* c = find_characteristic(id);
  return c ? std::string(c->group) : id;
}

std::string joined(const std::vector<std::string>& words) {
  return fmt::format("{}", fmt::join(words, ", "));
}

void add_once(std::vector<std::string>& words, const std::string& word) {
  if (std::ranges::find(words, word) == words.end()) words.push_back(word);
}

// Part 0, 1 or 2 of a finding's text.
std::string part(const std::string& text, int which) {
  const std::string separator = " · ";
  std::size_t begin = 0;
  for (int k = 0; k < which; ++k) {
    const std::size_t at = text.find(separator, begin);
    if (at == std::string::npos) return "";
    begin = at + separator.size();
  }
  return text.substr(begin, text.find(separator, begin) - begin);
}

std::string without_stop(std::string sentence) {
  if (!sentence.empty() && sentence.back() == '.') sentence.pop_back();
  return sentence;
}

struct Survey {
  std::vector<std::string> outside, undecided, within, not_tested;  // groups, the last one ids
  const Finding* stop = nullptr;
  bool any_limit = false;
  int judged = 0, missing_scans = 0;
  std::vector<std::string> missing;  // in words
};

const KindProgress* progress_of(const VerdictInput& in, const std::string& id) {
  const Characteristic* c = find_characteristic(id);
  if (!c) return nullptr;
  const auto it = std::ranges::find(in.progress, c->kind, &KindProgress::kind);
  return it == in.progress.end() ? nullptr : &*it;
}

bool has(const std::vector<Verdict>& verdicts, Verdict v) {
  return std::ranges::find(verdicts, v) != verdicts.end();
}

void survey_values(const VerdictInput& in, Survey& s) {
  for (const JudgedCharacteristic& c : in.characteristics) {
    if (!c.limited) continue;
    s.any_limit = true;
    s.judged += static_cast<int>(c.verdicts.size());
    const KindProgress* progress = progress_of(in, c.id);
    const bool awaited = progress && progress->present && progress->needed > 0;
    if (has(c.verdicts, Verdict::outside))
      add_once(s.outside, group_of(c.id));
    else if (has(c.verdicts, Verdict::undecided))
      add_once(s.undecided, group_of(c.id));
    else if (!c.verdicts.empty())
      add_once(s.within, group_of(c.id));
    else if (!awaited)
      s.not_tested.push_back(c.id);
  }
}

// Whether the verdict asks for positions of this kind.
bool asks_for(const VerdictInput& in, ArtefactKind kind) {
  const auto p = std::ranges::find(in.progress, kind, &KindProgress::kind);
  if (p == in.progress.end() || !p->present) return false;
  return std::ranges::any_of(in.characteristics, [&](const auto& c) {
    const Characteristic* known = find_characteristic(c.id);
    return c.limited && known && known->kind == kind;
  });
}

bool closing_missing(const VerdictInput& in) {
  return in.closing_needed && !in.closing_done && asks_for(in, ArtefactKind::bar);
}

void survey_plan(const VerdictInput& in, Survey& s) {
  for (const KindProgress& p : in.progress) {
    if (!asks_for(in, p.kind) || p.done >= p.needed) continue;
    const int n = p.needed - p.done;
    s.missing_scans += n;
    std::string words = fmt::format("{} {} position{}", n, to_string(p.kind), n == 1 ? "" : "s");
    if (!p.missing.empty()) words += " (" + fmt::format("{}", fmt::join(p.missing, "; ")) + ")";
    s.missing.push_back(words);
  }
  if (closing_missing(in)) {
    ++s.missing_scans;
    s.missing.push_back("the closing repeat of the first bar");
  }
}

Survey survey(const VerdictInput& in) {
  Survey s;
  for (const Finding& f : in.findings)
    if (!s.stop && f.severity == Severity::stop && f.scope == Scope::session) s.stop = &f;
  survey_values(in, s);
  survey_plan(in, s);
  return s;
}

std::string not_tested_words(const Survey& s) {
  std::vector<std::string> groups;
  for (const std::string& id : s.not_tested) {
    const std::string group = group_of(id);
    const bool partly = std::ranges::find(s.outside, group) != s.outside.end() ||
                        std::ranges::find(s.undecided, group) != s.undecided.end() ||
                        std::ranges::find(s.within, group) != s.within.end();
    const Characteristic* c = find_characteristic(id);
    add_once(groups, partly && c ? std::string(c->name) : group);
  }
  return groups.empty() ? "" : "; " + joined(groups) + " not tested";
}

std::string missing_headline(const VerdictInput& in, const Survey& s) {
  const int closing = closing_missing(in) ? 1 : 0;
  const int positions = s.missing_scans - closing;
  std::string words;
  if (positions > 0)
    words = fmt::format("{} position{} missing", positions, positions == 1 ? "" : "s");
  if (closing) words += words.empty() ? "closing repeat missing" : ", closing repeat missing";
  return words;
}

// What stopped most scans, and how many; the first one of equals. A scan that was repeated or
// withdrawn is settled.
std::pair<const Finding*, int> commonest_stop(const std::vector<Finding>& findings) {
  std::set<std::string> settled;
  for (const Finding& f : findings)
    if (f.id == "retest" || f.id == "withdrawn") settled.insert(f.scan);
  std::map<std::string, std::set<std::string>> scans;
  for (const Finding& f : findings)
    if (f.severity == Severity::stop && f.scope == Scope::scan && !settled.contains(f.scan))
      scans[f.id].insert(f.scan);
  std::pair<const Finding*, int> most{nullptr, 0};
  for (const Finding& f : findings)
    if (const auto it = scans.find(f.id); it != scans.end() && f.severity == Severity::stop &&
                                          static_cast<int>(it->second.size()) > most.second)
      most = {&f, static_cast<int>(it->second.size())};
  return most;
}

std::string full_stop(const std::string& sentence) {
  return sentence.ends_with('.') ? sentence : sentence + ".";
}

// What stopped scans comes first: who puts that right has perhaps nothing left to scan.
std::string to_complete(const SessionVerdict& v, const VerdictInput& in, const Survey& s) {
  const auto [stop, n] = commonest_stop(in.findings);
  if (!stop) return fmt::format("Scan {}: about {:.0f} minutes.", joined(s.missing), v.minutes);
  return fmt::format(
      "{} That stopped {} of the scans; without them these are missing: {}, about {:.0f} minutes.",
      full_stop(part(stop->text, 2)),
      n,
      joined(s.missing),
      v.minutes);
}

void say_invalid(SessionVerdict& v, const VerdictInput& in, const Survey& s) {
  v.verdict = Verdict::invalid;
  if (s.stop) {
    v.headline = "NOT A VALID TEST: " + without_stop(part(s.stop->text, 0));
    v.next_step = part(s.stop->text, 2);
  } else if (!s.any_limit) {
    v.headline = "VALUES ONLY";
    v.next_step = "Agree on limits (rigproof add limits) and assess again for a verdict.";
  } else if (!v.complete) {
    v.headline = "NOT A VALID TEST: " + missing_headline(in, s) + not_tested_words(s);
    v.next_step = to_complete(v, in, s);
  } else {
    v.headline = "NOT A VALID TEST: nothing judged" + not_tested_words(s);
    const Finding* stop = commonest_stop(in.findings).first;
    v.next_step = stop ? full_stop(part(stop->text, 2))
                       : "Scan an artefact for the characteristics that have a limit.";
  }
}

void say_outside(SessionVerdict& v, const VerdictInput& in, const Survey& s) {
  v.verdict = Verdict::outside;
  v.headline = "OUTSIDE LIMITS: " + joined(s.outside);
  if (!v.complete) v.headline += " (" + missing_headline(in, s) + ")";
  v.headline += not_tested_words(s);
  v.next_step =
      "Read the advice, recalibrate, and test again as a session of kind as-left; keep this one "
      "as as-found.";
}

void say_undecided(SessionVerdict& v, const Survey& s) {
  v.verdict = Verdict::undecided;
  v.headline = "TOO CLOSE TO CALL: " + joined(s.undecided) + not_tested_words(s);
  v.next_step =
      "Make the test better, never the limit wider: soak longer, put a thermometer on the "
      "artefact, or use one with a better certificate.";
}

void say_within(SessionVerdict& v, const Survey& s) {
  v.verdict = Verdict::within;
  v.headline = "WITHIN LIMITS: " + joined(s.within) + not_tested_words(s);
  v.next_step = "Seal the session (rigproof seal) and hand it over.";
}

}  // namespace

SessionVerdict session_verdict(const VerdictInput& input) {
  const Survey s = survey(input);
  SessionVerdict v;
  v.not_tested = s.not_tested;
  v.complete = s.missing.empty();
  v.minutes = s.missing_scans * input.minutes_per_scan;
  // A value outside its limit is told though the session is not complete.
  const bool nothing_to_tell = s.outside.empty() && (!v.complete || s.judged == 0);
  if (s.stop || !s.any_limit || nothing_to_tell)
    say_invalid(v, input, s);
  else if (!s.outside.empty())
    say_outside(v, input, s);
  else if (!s.undecided.empty())
    say_undecided(v, s);
  else
    say_within(v, s);
  return v;
}

}  // namespace rigproof
