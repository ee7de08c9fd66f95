#include "app/session_questions.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "app/session_defaults.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"
#include "inputs/near_name.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

const std::vector<std::string> kKinds{
    "acceptance", "reverification", "interim", "as-found", "as-left"};
constexpr char kNone[] = "none";

std::string rig_label(const Session& s) { return s.rig.id + "/" + s.field_name; }

std::string joined(const std::vector<std::string>& names) {
  std::string out;
  for (const auto& name : names) out += (out.empty() ? "" : ", ") + name;
  return out;
}

/// Names with commas, or else with spaces between them: paths may hold spaces.
std::vector<std::string> split(const std::string& text) {
  const char gap = text.find(',') != std::string::npos ? ',' : ' ';
  std::vector<std::string> out;
  for (std::size_t from = 0; from <= text.size();) {
    const std::size_t to = std::min(text.find(gap, from), text.size());
    std::string name = text.substr(from, to - from);
    name.erase(0, std::min(name.find_first_not_of(' '), name.size()));
    while (name.ends_with(' ')) name.pop_back();
    if (!name.empty()) out.push_back(name);
    from = to + 1;
  }
  return out;
}

// ---- rig

RigField rig_since(const Session& last) {
  const fs::path file = file_since(last, "rigs", last.rig.id, "rig.toml");
  const Rig rig = load_rig(file);
  if (std::ranges::find(rig.fields, last.field_name, &Field::name) != rig.fields.end())
    return {rig, last.field_name, file};
  return {last.rig, last.field_name, last.folder / "rig.toml"};
}

RigField rig_named(const std::string& name, const std::optional<Session>& last) {
  if (last && name == rig_label(*last)) return rig_since(*last);
  RigField found = find_rig_field(name);
  return found;
}

void ask_rig(const NewOptions& o,
             Questions& q,
             const std::optional<Session>& last,
             SessionDraft& d) {
  Question question{"--rig",
                    "Rig and field of view, R/FIELD; there are " + listed(input_names("rigs")),
                    only_rig_field()};
  if (last) question.standard = rig_label(*last);
  const auto given = o.rig;
  const std::string name = q.text(
      question, given, [&](const std::string& t) { rig_named(t, given ? std::nullopt : last); });
  const RigField found = rig_named(name, given ? std::nullopt : last);
  d.session.rig = found.rig;
  d.session.field_name = found.field;
  d.session.simulated = found.rig.simulated;
  d.rig_file = found.file;
}

// ---- procedure, limits, artefacts

void ask_procedure(const NewOptions& o,
                   Questions& q,
                   const std::optional<Session>& last,
                   SessionDraft& d) {
  Question question{"--procedure",
                    "Procedure; there are " + listed(input_names("procedures")),
                    d.session.kind == "interim" ? "interim" : "half-hour"};
  const bool again = last && last->kind == d.session.kind;
  if (again) question.standard = last->procedure.name;
  const auto file_of = [&](const std::string& name) {
    return again && !o.procedure && name == last->procedure.name
               ? file_since(*last, "procedures", name, "procedure.toml")
               : find_input("procedures", name);
  };
  const std::string name =
      q.text(question, o.procedure, [&](const std::string& t) { load_procedure(file_of(t)); });
  d.procedure_file = file_of(name);
  d.session.procedure = load_procedure(d.procedure_file);
}

void ask_limits(const NewOptions& o,
                Questions& q,
                const std::optional<Session>& last,
                SessionDraft& d) {
  const bool again = last && rig_label(*last) == rig_label(d.session);
  Question question{
      "--limits",
      "Limits as agreed beforehand, or none; there are " + listed(input_names("limits")),
      limits_beside(d.rig_file, d.session.rig.id)};
  if (again && last->limits_given) question.standard = last->limits.name;
  const auto file_of = [&](const std::string& name) {
    return again && last->limits_given && !o.limits && name == last->limits.name
               ? file_since(*last, "limits", name, "limits.toml")
               : find_input("limits", name);
  };
  const std::string name = q.text(question, o.limits, [&](const std::string& t) {
    if (t != kNone && !t.empty()) load_limits(file_of(t));
  });
  if (name == kNone || name.empty()) return;
  d.limits_file = file_of(name);
  d.session.limits = load_limits(d.limits_file);
  d.session.limits_given = true;
}

fs::path artefact_file(const std::string& name, const std::optional<Session>& last) {
  if (last && std::ranges::find(last->artefacts, name, &Artefact::name) != last->artefacts.end())
    return file_since(*last, "artefacts", name, "artefacts/" + name + ".toml");
  return find_input("artefacts", name);
}

void take_artefacts(const std::vector<std::string>& names,
                    const std::optional<Session>& last,
                    SessionDraft& d) {
  d.session.artefacts.clear();
  d.artefact_files.clear();
  for (const std::string& name : names) {
    const fs::path file = artefact_file(name, last);
    const Artefact a = load_artefact(file);
    if (std::ranges::find(d.session.artefacts, a.serial, &Artefact::serial) !=
        d.session.artefacts.end())
      throw Error(ErrorKind::usage,
                  "two artefacts have the serial \"" + a.serial + "\"",
                  "Every artefact of a session needs its own serial; name each once.");
    d.session.artefacts.push_back(a);
    d.artefact_files.push_back(file);
  }
  if (names.empty())
    throw Error(ErrorKind::usage,
                "a session needs an artefact",
                "Write the file of yours first: rigproof add bar.");
}

void ask_artefacts(const NewOptions& o,
                   Questions& q,
                   const std::optional<Session>& last,
                   SessionDraft& d) {
  if (!o.artefacts.empty()) return take_artefacts(o.artefacts, std::nullopt, d);
  Question question{
      "--artefact", "Artefacts; there are " + listed(input_names("artefacts"), 30), {}};
  std::vector<std::string> standard;
  if (last && rig_label(*last) == rig_label(d.session))
    for (const Artefact& a : last->artefacts) standard.push_back(a.name);
  if (standard.empty()) standard = fitting_artefacts(d.rig_file, d.session.field()->volume);
  if (!standard.empty()) question.standard = joined(standard);
  const std::string names = q.text(
      question, std::nullopt, [&](const std::string& t) { take_artefacts(split(t), last, d); });
  take_artefacts(split(names), last, d);
}

// ---- calibration, people, temperature

bool looks_like_a_path(const std::string& text) {
  return text.find('/') != std::string::npos && text.find(' ') == std::string::npos;
}

void check_calibration(const std::string& text) {
  std::error_code ec;
  if (looks_like_a_path(text) && !fs::exists(text, ec))
    throw Error(ErrorKind::missing,
                display(text) + ": no such file or folder",
                "Name the calibration's file or folder, or describe it in words.");
}

/// An interim or as-found test looks at the same calibration again; other kinds follow a new one.
std::string last_calibration(const std::optional<Session>& last, const SessionDraft& d) {
  const bool same = last && rig_label(*last) == rig_label(d.session) &&
                    (d.session.kind == "interim" || d.session.kind == "as-found");
  if (!same || last->calibration.empty()) return "";
  std::error_code ec;
  const fs::path file = last->folder / last->calibration;
  return fs::exists(file, ec) ? file.string() : last->calibration;
}

void ask_calibration(const NewOptions& o,
                     Questions& q,
                     const std::optional<Session>& last,
                     SessionDraft& d) {
  const std::string answer = q.text({"--calibration",
                                     "Calibration that the rig stands on: file, folder or words",
                                     last_calibration(last, d)},
                                    o.calibration,
                                    check_calibration);
  std::error_code ec;
  if (!answer.empty() && fs::exists(answer, ec))
    d.calibration = answer;
  else
    d.session.calibration = answer;
}

void ask_people(const NewOptions& o,
                Questions& q,
                const std::optional<Session>& last,
                SessionDraft& d) {
  d.session.operator_name =
      q.text({"--operator", "Who measures", last ? last->operator_name : ""}, o.operator_name);
  d.session.customer = q.text({"--customer", "For whom", last ? last->customer : ""}, o.customer);
}

void ask_environment(const NewOptions& o,
                     Questions& q,
                     const std::optional<Session>& last,
                     Environment& e) {
  const Range room{-40, 80, "°C"};
  e.artefact_C = q.maybe_number(
      {"--temperature", "Temperature of the artefacts now, °C", ""}, o.temperature, room);
  if (!e.artefact_C) {
    for (const auto& [option, given] :
         {std::pair("--u-temperature", o.u_temperature), std::pair("--measured-on", o.measured_on)})
      if (given)
        throw Error(ErrorKind::usage,
                    std::string(option) + " goes with --temperature, which is missing",
                    "Give the temperature of the artefacts in °C.");
  } else {
    const Environment before = last ? last->environment : Environment{};
    e.u_artefact_C = q.maybe_number({"--u-temperature",
                                     "Its standard uncertainty, K",
                                     before.u_artefact_C ? exact(*before.u_artefact_C) : ""},
                                    o.u_temperature,
                                    Range::from_zero(20, "K"));
    e.measured_on = q.word({"--measured-on",
                            "Measured on the artefact or in the room",
                            before.measured_on.empty() ? "artefact" : before.measured_on},
                           o.measured_on,
                           {"artefact", "room"});
  }
  e.soaked_h = q.maybe_number({"--soaked", "Hours that they have lain beside the rig", ""},
                              o.soaked,
                              Range::from_zero(10'000, "hours"));
}

// ---- what the person had better know

double length_of(const Artefact& a) {
  return a.kind == ArtefactKind::bar && !a.distances.empty() ? a.distances[0].length.mm : 0;
}

void note_artefacts(SessionDraft& d) {
  const auto& all = d.session.artefacts;
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (is_sample(d.artefact_files[i]))
      d.notes.push_back(all[i].name +
                        " is a sample with invented numbers, not an artefact of yours.");
    if (const auto& due = all[i].due; due && d.session.date && *due < *d.session.date)
      d.notes.push_back(all[i].name + ": its calibration ran out on " + to_string(*due) + ".");
    for (std::size_t j = 0; j < i; ++j)
      if (length_of(all[i]) > 0 &&
          std::abs(length_of(all[i]) - length_of(all[j])) < 0.02 * length_of(all[i]))
        d.notes.push_back(all[j].name + " and " + all[i].name +
                          " differ by less than 2 %: say in session.toml which scan shows which.");
  }
}

void note_samples(SessionDraft& d) {
  if (is_sample(d.rig_file))
    d.notes.push_back("Rig " + d.session.rig.id + " is a sample; yours: rigproof add rig.");
  if (d.session.limits_given && is_sample(d.limits_file))
    d.notes.push_back(d.session.limits.name + " is a sample; yours: rigproof add limits.");
  if (!d.session.limits_given)
    d.notes.push_back("No limits: values will be reported and nothing judged.");
}

}  // namespace

SessionDraft ask_session(const NewOptions& o, Questions& q) {
  const std::optional<Session> last =
      o.after ? std::optional(load_session(*o.after)) : newest_session(".");
  if (last) q.say("Standard answers are those of " + last->id + ".");
  SessionDraft d;
  d.session.date = q.maybe_date({"--date", "Day of the test", to_string(today()), true}, o.date);
  if (!d.session.date) d.session.date = today();
  ask_rig(o, q, last, d);
  d.session.kind =
      q.word({"--kind", "Kind of test", last ? last->kind : kKinds[0]}, o.kind, kKinds);
  ask_procedure(o, q, last, d);
  ask_limits(o, q, last, d);
  ask_artefacts(o, q, last, d);
  ask_calibration(o, q, last, d);
  ask_people(o, q, last, d);
  ask_environment(o, q, last, d.session.environment);
  d.session.id = fmt::format("{}-{}-{}-{}",
                             to_string(*d.session.date),
                             plain_name(d.session.rig.id),
                             plain_name(d.session.field_name),
                             d.session.kind);
  note_samples(d);
  note_artefacts(d);
  return d;
}

}  // namespace rigproof
