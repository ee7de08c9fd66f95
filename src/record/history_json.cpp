// The one file that knows how a history line looks as JSON.
#include <algorithm>
#include <array>
#include <limits>
#include <string_view>

#include "base/error.h"
#include "base/json_excess.h"
#include "base/number.h"
#include "record/history.h"
#include "record/json_parts.h"

namespace rigproof {
namespace {

constexpr const char* kSchema = "rigproof-history-1";

std::string line(const Json& j) {
  return j.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

Json value(const HistoryValue& v) {
  Json j{{"characteristic", v.characteristic},
         {"artefact", v.artefact},
         {"feature", v.feature},
         {"zone", v.zone},
         {"place", v.place},
         {"scan", v.scan},
         {"measured", v.measured},
         {"reference", v.reference},
         {"value", v.value},
         {"U", v.U}};
  j["limit"] = v.limit ? Json(*v.limit) : Json(nullptr);
  j["verdict"] = v.verdict.empty() ? Json(nullptr) : Json(v.verdict);
  return j;
}

[[noreturn]] void refuse(const std::string& where, const std::string& what) {
  throw Error(ErrorKind::data,
              where + ": " + what,
              "Import lines that this program exported; nothing was taken from this one.");
}

/// The text under `key`, one of those whose to_string() the program writes: it is compared, printed
/// and made a part of pages.
template <class Enum, std::size_t N>
std::string word(const Json& j,
                 const char* key,
                 const std::array<Enum, N>& known,
                 const std::string& where) {
  std::string text = j.at(key);
  if (!named(text, known))
    refuse(where,
           "\"" + json_complaint(text) + "\" is no " + std::string(key) + " of this program");
  return text;
}

/// As utc_text() writes it: which run of a session is the last is told by comparing these texts.
bool is_utc_text(const std::string& text) {
  constexpr std::string_view form = "0000-00-00T00:00:00Z";
  const bool shaped = std::ranges::equal(
      text, form, [](char c, char as) { return as == '0' ? c >= '0' && c <= '9' : c == as; });
  const auto part = [&](std::size_t at) { return std::string_view(text).substr(at, 2); };
  return shaped && find_date(text.substr(0, 10)) && part(11) < "24" && part(14) < "60" &&
         part(17) < "60";
}

std::string recorded(const Json& j, const std::string& where) {
  std::string text = j.at("recorded");
  if (!is_utc_text(text))
    refuse(where, "\"" + json_complaint(text) + "\" is no time such as 2026-03-14T12:00:00Z");
  return text;
}

std::optional<double> maybe_number(const Json& j, const char* key, const std::string& where) {
  const Json& v = j.at(key);
  if (v.is_null()) return std::nullopt;
  const auto number = v.get<double>();
  // The store never forgets: what it takes in, every trend of the rig meets.
  if (!is_measurable(number))
    refuse(where, std::string("\"") + key + "\" is " + exact(number) + ", beyond all measuring");
  return number;
}

/// A number; null stands for one that is none.
double number(const Json& j, const char* key, const std::string& where) {
  return maybe_number(j, key, where).value_or(std::numeric_limits<double>::quiet_NaN());
}

HistoryValue parse_value(const Json& j, const std::string& where) {
  HistoryValue v;
  v.characteristic = j.at("characteristic");
  v.artefact = j.at("artefact");
  v.feature = j.at("feature");
  v.zone = j.at("zone");
  v.place = j.at("place");
  v.scan = j.at("scan");
  v.measured = number(j, "measured", where);
  v.reference = number(j, "reference", where);
  v.value = number(j, "value", where);
  v.U = number(j, "U", where);
  v.limit = maybe_number(j, "limit", where);
  if (!j.at("verdict").is_null()) v.verdict = word(j, "verdict", kVerdicts, where);
  return v;
}

HistoryCheck parse_check(const Json& j, const std::string& where) {
  HistoryCheck c;
  c.rig = j.at("rig");
  c.field = j.at("field");
  c.session = j.at("session");
  c.kind = j.at("kind");
  c.procedure = j.at("procedure");
  c.first_scan = j.at("first_scan");
  c.day = j.at("day");
  c.calibration = j.at("calibration");
  c.verdict = word(j, "verdict", kVerdicts, where);
  c.headline = j.at("headline");
  c.version = j.at("version");
  c.recorded = recorded(j, where);
  for (const auto& v : j.at("values")) c.values.push_back(parse_value(v, where));
  for (const auto& v : j.at("causes"))
    c.causes.push_back(
        {v.at("id"), v.at("unit"), number(v, "coefficient", where), number(v, "u", where)});
  for (const auto& v : j.at("findings"))
    c.findings.push_back({v.at("id"), word(v, "severity", kSeverities, where), v.at("scan")});
  c.id = digest_of(c);
  return c;
}

HistoryEvent parse_event(const Json& j, const std::string& where) {
  HistoryEvent e;
  e.rig = j.at("rig");
  e.field = j.at("field");
  e.day = j.at("day");
  e.kind = j.at("kind");
  e.note = j.at("note");
  e.recorded = recorded(j, where);
  e.id = digest_of(e);
  return e;
}

}  // namespace

std::string to_json_line(const HistoryCheck& c) {
  Json j{{"schema", kSchema},
         {"record", "check"},
         {"rig", c.rig},
         {"field", c.field},
         {"session", c.session},
         {"kind", c.kind},
         {"procedure", c.procedure},
         {"first_scan", c.first_scan},
         {"day", c.day},
         {"calibration", c.calibration},
         {"verdict", c.verdict},
         {"headline", c.headline},
         {"version", c.version},
         {"recorded", c.recorded}};
  j["values"] = Json::array();
  for (const auto& v : c.values) j["values"].push_back(value(v));
  j["causes"] = Json::array();
  for (const auto& v : c.causes)
    j["causes"].push_back(
        {{"id", v.id}, {"unit", v.unit}, {"coefficient", v.coefficient}, {"u", v.u}});
  j["findings"] = Json::array();
  for (const auto& f : c.findings)
    j["findings"].push_back({{"id", f.id}, {"severity", f.severity}, {"scan", f.scan}});
  return line(j);
}

std::string to_json_line(const HistoryEvent& e) {
  return line({{"schema", kSchema},
               {"record", "event"},
               {"rig", e.rig},
               {"field", e.field},
               {"day", e.day},
               {"kind", e.kind},
               {"note", e.note},
               {"recorded", e.recorded}});
}

std::string as_in_line(const std::string& text) { return Json::parse(line(text)); }

HistoryLine parse_json_line(const std::string& text, const std::string& where) {
  HistoryLine out;
  if (const char* excess = json_excess(text)) refuse(where, excess);
  try {
    const Json j = Json::parse(text);
    if (j.at("schema") != kSchema) refuse(where, std::string("its schema is not ") + kSchema);
    const std::string record = j.at("record");
    if (record == "check")
      out.check = parse_check(j, where);
    else if (record == "event")
      out.event = parse_event(j, where);
    else
      refuse(where, "\"" + json_complaint(record) + "\" is neither a check nor an event");
    const std::string& day = out.check ? out.check->day : out.event->day;
    if (!find_date(day)) refuse(where, "\"" + json_complaint(day) + "\" is not a date");
  } catch (const Json::exception& error) {
    refuse(where, "is not a history line: " + json_complaint(error.what()));
  }
  if (out.event && std::ranges::find(event_kinds(), out.event->kind) == event_kinds().end())
    refuse(where, "\"" + json_complaint(out.event->kind) + "\" is no kind of event");
  return out;
}

}  // namespace rigproof
