#include "record/results_reader.h"

#include <array>
#include <cmath>
#include <limits>
#include <type_traits>

#include "base/error.h"
#include "base/json_excess.h"
#include "base/json_whole.h"
#include "base/number.h"
#include "evaluate/characteristic.h"
#include "inputs/session_folder.h"
#include "record/json_parts.h"
#include "record/nominal_lengths.h"
#include "record/results_json.h"

namespace rigproof {
namespace {

[[noreturn]] void unusable(const std::string& what) {
  throw Error(ErrorKind::data,
              "results.json: " + what,
              "Assess the session again: rigproof assess SESSION.");
}

const Json& at(const Json& j, const char* key) {
  const auto it = j.find(key);
  if (it == j.end()) unusable(std::string("\"") + key + "\" is missing");
  return *it;
}

// null stands for NaN and infinity.
double as_number(const Json& j) {
  if (j.is_null()) return std::numeric_limits<double>::quiet_NaN();
  const auto number = j.get<double>();
  if (!is_measurable(number)) unusable(exact(number) + " is beyond all measuring");
  return number;
}
double number(const Json& j, const char* key) { return as_number(at(j, key)); }

template <class T>
T as(const Json& j, const char* key) {
  if constexpr (std::is_integral_v<T> && !std::is_same_v<T, bool>) {
    if (const auto n = whole_number<T>(j)) return *n;
    unusable(std::string("\"") + key + "\" is not a count");
  } else if constexpr (std::is_floating_point_v<T>) {
    return as_number(j);
  } else {
    return j.get<T>();
  }
}
template <class T>
T get(const Json& j, const char* key) {
  return as<T>(at(j, key), key);
}
std::string text(const Json& j, const char* key) { return get<std::string>(j, key); }
std::string text_or_none(const Json& j, const char* key) {
  return j.contains(key) ? text(j, key) : std::string();
}

// Others open what such a path names, below the session folder.
std::string inner_path(const Json& j, const char* key) {
  std::string path = text(j, key);
  if (!is_inner_path(path)) unusable(std::string("\"") + key + "\" leads outside the session");
  return path;
}

template <class T>
std::optional<T> maybe(const Json& j, const char* key) {
  const auto it = j.find(key);
  if (it == j.end() || it->is_null()) return std::nullopt;
  return as<T>(*it, key);
}

template <class Enum, std::size_t N>
Enum word(const Json& j, const char* key, const std::array<Enum, N>& known) {
  const std::string name = text(j, key);
  if (const auto e = named(name, known)) return *e;
  unusable(std::string("\"") + key + "\" is \"" + json_complaint(name) + "\"");
}

constexpr std::array kStatuses{
    ScanStatus::used, ScanStatus::rejected, ScanStatus::withdrawn, ScanStatus::superseded};
constexpr std::array kScopes{Scope::scan, Scope::session};

Vec3 vector(const Json& j) {
  if (j.size() != 3) unusable("a vector has " + std::to_string(j.size()) + " numbers");
  return {as_number(j[0]), as_number(j[1]), as_number(j[2])};
}

Eigen::MatrixXd matrix(const Json& j) {
  constexpr std::size_t most = 16;
  const std::size_t rows = j.size(), columns = rows ? j[0].size() : 0;
  if (rows > most || columns > most) unusable("a covariance is too large");
  Eigen::MatrixXd m(rows, columns);
  for (std::size_t r = 0; r < rows; ++r) {
    if (j[r].size() != columns) unusable("a covariance is not a rectangle");
    for (std::size_t c = 0; c < columns; ++c) m(r, c) = as_number(j[r][c]);
  }
  return m;
}

std::optional<Decision> decision(const Json& j) {
  if (at(j, "verdict").is_null()) return std::nullopt;
  return Decision{
      number(j, "limit"), number(j, "ratio"), number(j, "p_within"), word(j, "verdict", kVerdicts)};
}

BudgetLine budget_line(const Json& j) {
  BudgetLine line;
  line.line = text(j, "line");
  line.u = number(j, "u");
  line.dof = maybe<double>(j, "dof");
  line.shared = text(j, "shared");
  line.sensitivity = number(j, "sensitivity");
  line.shape = text(j, "shape") == "rectangular" ? LineShape::rectangular : LineShape::normal;
  line.formula = text(j, "formula");
  for (const auto& [symbol, input] : at(j, "inputs").items())
    line.inputs.push_back({symbol, as_number(input), ""});
  return line;
}

JudgedValue value(const Json& j, const std::string& id, const NominalLengths& lengths) {
  TestValue v;
  v.id = id;
  v.scan = text(j, "scan");
  v.place = text(j, "place");
  v.zone = text(j, "zone");
  v.artefact = text(j, "artefact");
  v.ball = text_or_none(j, "ball");
  if (j.contains("pair")) v.pair = {j["pair"].at(0), j["pair"].at(1)};
  v.measured = number(j, "measured");
  v.reference = number(j, "reference");
  v.value = number(j, "value");
  v.u = number(j, "u");
  v.U = number(j, "U");
  v.k = number(j, "k");
  v.dof = maybe<double>(j, "dof");
  v.u_fit = number(j, "u_fit");
  v.points = get<std::size_t>(j, "points");
  v.left_out = get<std::size_t>(j, "left_out");
  v.value_all_points = number(j, "value_all_points");
  v.spacing_um = number(j, "spacing_um");
  v.center = vector(at(j, "center"));
  if (j.contains("direction")) v.direction = vector(j["direction"]);
  for (const auto& [name, other] : at(j, "alternatives").items())
    v.alternatives[name] = as_number(other);
  for (const auto& line : at(j, "budget")) v.budget.push_back(budget_line(line));
  if (const Characteristic* known = find_characteristic(id)) v.signed_value = known->signed_value;
  v.nominal_length = lengths.of(v);
  return {v, decision(j)};
}

CharacteristicResult characteristic(const Json& j, const NominalLengths& lengths) {
  CharacteristicResult c;
  c.id = text(j, "id");
  c.symbol = text(j, "symbol");
  c.unit = text(j, "unit");
  c.judged = get<bool>(j, "judged");
  if (c.judged) c.verdict = word(j, "verdict", kVerdicts);
  for (const auto& v : at(j, "values")) c.values.push_back(value(v, c.id, lengths));
  std::pair<bool, double> most{false, -1};  // what is judged before what is information
  for (std::size_t i = 0; i < c.values.size(); ++i) {
    const auto& v = c.values[i];
    const std::pair<bool, double> weight{v.decision.has_value(),
                                         v.decision ? v.decision->ratio : std::abs(v.value.value)};
    if (weight > most) most = weight, c.worst = static_cast<int>(i);
  }
  return c;
}

std::vector<Vec3> vectors(const Json& j) {
  std::vector<Vec3> out;
  for (const Json& v : j) out.push_back(vector(v));
  return out;
}

Enclosure enclosure(const Json& j) {
  Enclosure e;
  e.name = text(j, "name");
  e.center = vector(at(j, "center"));
  e.sphere = !j.contains("normal");
  if (!e.sphere) e.normal = vector(j["normal"]);
  e.low = number(j, "low");
  e.high = number(j, "high");
  e.width = number(j, "width");
  e.points = get<std::size_t>(j, "points");
  e.held = get<std::size_t>(j, "held");
  e.below = get<std::size_t>(j, "below");
  e.low_points = vectors(at(j, "low_points"));
  e.high_points = vectors(at(j, "high_points"));
  return e;
}

// Documents of before these were stored lack them.
void read_evidence(FeatureRecord& f, const Json& j) {
  if (j.contains("rectangle")) {
    const Json& r = j["rectangle"];
    f.middle = vector(at(r, "center"));
    f.axis_u = vector(at(r, "axes").at(0));
    f.axis_v = vector(at(r, "axes").at(1));
  }
  if (j.contains("enclosures"))
    for (const Json& e : j["enclosures"]) f.enclosures.push_back(enclosure(e));
  if (j.contains("patches")) {
    const Json& p = j["patches"];
    const auto points = get<std::vector<std::size_t>>(p, "points");
    for (const Vec3& mean : vectors(at(p, "means")))
      f.patches.push_back({mean, f.patches.size() < points.size() ? points[f.patches.size()] : 0});
    FitRecord& fit = f.fit_patches.emplace();
    fit.center = vector(at(p, "center"));
    fit.radius = number(p, "radius");
    fit.rms = number(p, "rms");
    fit.min = number(p, "min");
    fit.max = number(p, "max");
    fit.points = f.patches.size();
  }
}

FeatureRecord feature(const Json& j) {
  FeatureRecord f;
  f.sphere = text(j, "kind") == "sphere";
  f.artefact = text_or_none(j, "artefact");
  f.ball = text_or_none(j, "ball");
  f.center = vector(at(j, "center"));
  if (f.sphere) {
    f.radius = number(j, "radius");
    f.form = number(j, "form");
    f.form_mz = maybe<double>(j, "form_mz");
    f.cap_half_angle_deg = number(j, "cap_half_angle_deg");
    f.seen_half_angle_deg = number(j, "seen_half_angle_deg");
    f.axis = vector(at(j, "cap_axis"));
    f.axis_from = text(j, "cap_axis_from");
  } else {
    f.normal = vector(at(j, "normal"));
    f.form = number(j, "flatness");
    f.form_mz = maybe<double>(j, "flatness_mz");
    f.length_mm = as_number(at(j, "extent").at(0));
    f.width_mm = as_number(at(j, "extent").at(1));
    f.area_mm2 = number(j, "area_mm2");
  }
  f.points = get<std::size_t>(j, "points");
  f.left_out = get<std::size_t>(j, "left_out");
  f.strays = get<std::size_t>(j, "strays");
  f.rounds = get<int>(j, "rounds");
  f.settled = get<bool>(j, "settled");
  f.rms = number(j, "rms");
  f.cov = matrix(at(j, "cov"));
  read_evidence(f, j);
  return f;
}

ScanRecord scan(const Json& j) {
  ScanRecord s;
  s.file = inner_path(j, "file");
  s.sha256 = text(j, "sha256");
  s.bytes = get<std::uint64_t>(j, "bytes");
  s.format = text(j, "format");
  s.points = get<std::uint64_t>(j, "points");
  s.dropped = get<std::uint64_t>(j, "dropped");
  s.faces = get<std::uint64_t>(j, "faces");
  s.simulated = get<bool>(j, "simulated");
  s.status = word(j, "status", kStatuses);
  s.reason = text(j, "reason");
  s.artefact = text(j, "artefact");
  s.place = text(j, "place");
  s.zone = text(j, "zone");
  for (const auto& f : at(j, "features")) s.features.push_back(feature(f));
  return s;
}

Diagnosis diagnosis(const Json& j) {
  Diagnosis d;
  d.ran = get<bool>(j, "ran");
  d.clean = maybe<bool>(j, "clean").value_or(true);
  d.geometry = text(j, "geometry");
  d.two_faults = get<bool>(j, "two_faults");
  d.worst_sd = number(j, "worst_sd");
  d.chi2_per_dof = number(j, "residual");
  for (const auto& c : at(j, "causes"))
    d.causes.push_back({text(c, "id"),
                        text(c, "unit"),
                        number(c, "coefficient"),
                        number(c, "u"),
                        number(c, "chi2_drop"),
                        number(c, "share"),
                        text_or_none(c, "zone"),
                        number(c, "worst_sd_after")});
  d.indistinguishable = get<std::vector<std::vector<std::string>>>(j, "indistinguishable");
  d.advice = get<std::vector<std::string>>(j, "advice");
  for (const auto& l : at(j, "detection_limits"))
    d.detection_limits.push_back(
        {text(l, "id"), text(l, "unit"), number(l, "value"), number(l, "worst_sd")});
  return d;
}

void read_lists(Results& r, const Json& j) {
  const NominalLengths lengths(r.session.artefacts);
  for (const auto& c : at(j, "characteristics"))
    r.characteristics.push_back(characteristic(c, lengths));
  r.not_tested = get<std::vector<std::string>>(j, "not_tested");
  for (const auto& s : at(j, "scans")) r.scans.push_back(scan(s));
  r.session.skipped.clear();  // as it was then
  for (const auto& s : at(j, "skipped"))
    r.session.skipped.push_back(std::filesystem::path(inner_path(s, "file")).filename().string() +
                                ": " + text(s, "reason"));
  for (const auto& f : at(j, "findings"))
    r.findings.push_back({text(f, "id"),
                          word(f, "severity", kSeverities),
                          word(f, "scope", kScopes),
                          text(f, "scan"),
                          text(f, "text")});
  for (const auto& z : at(j, "zones"))
    r.zones.push_back({text(z, "zone"),
                       get<int>(z, "observations"),
                       maybe<double>(z, "worst_ratio"),
                       maybe<int>(z, "views")});
  for (const auto& i : at(j, "inputs"))
    r.inputs.push_back({inner_path(i, "path"), text(i, "sha256"), get<std::uint64_t>(i, "bytes")});
}

// What the session's files say now must be what they said then: everything of it that the document
// holds.
void check_session(const Results& r, const Json& stored) {
  const Json now = Json::parse(results_json(r));
  for (const char* key : {"session", "procedure", "limits", "environment", "artefacts"})
    if (now.at(key) != at(stored, key))
      unusable(std::string("\"") + key + "\" is not what the files of the session say now");
}

// Copying a folder may change its name and its files' times; what was assumed then holds.
std::optional<AssumedDate> stored_assumption(const Json& session) {
  if (!session.contains("assumed_date")) return std::nullopt;
  const Json& j = session["assumed_date"];
  if (const auto date = find_date(text(j, "date"))) return AssumedDate{*date, text(j, "from")};
  unusable("\"assumed_date\" holds no date");
}

StoredResults read(const Json& j, const Session& session) {
  if (text(j, "schema") != "rigproof-results-1") unusable("the schema is not rigproof-results-1");
  StoredResults out;
  Results& r = out.results;
  r.session = session;
  r.session.assumed_date = stored_assumption(at(j, "session"));
  r.verdict = word(j, "verdict", kVerdicts);
  r.headline = text(j, "headline");
  r.next_step = text(j, "next_step");
  r.p_all_within = number(j, "p_all_within");
  r.simulated = get<bool>(j, "simulated") || session.simulated || session.rig.simulated;
  r.calibration_sha256 = text(at(j, "session"), "calibration_sha256");
  const Json& environment = at(j, "environment");
  r.temperature = {number(environment, "artefact_C"),
                   number(environment, "u_artefact_C"),
                   text(environment, "basis")};
  read_lists(r, j);
  r.diagnosis = diagnosis(at(j, "diagnosis"));
  if (j.contains("timings")) r.timings = get<std::map<std::string, double>>(j, "timings");
  const Json& software = at(j, "software");
  r.selftest = text(software, "selftest");
  out.version = text(software, "version");
  out.build = text(software, "build");
  check_session(r, j);
  return out;
}

}  // namespace

StoredResults results_from_json(const std::string& text, const Session& session) {
  if (const char* excess = json_excess(text)) unusable(excess);
  try {
    return read(Json::parse(text), session);
  } catch (const Json::exception& e) {
    unusable(json_complaint(e.what()));
  }
}

}  // namespace rigproof
