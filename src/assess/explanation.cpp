#include "assess/explanation.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <filesystem>

namespace rigproof {
namespace {

std::string lower(std::string text) {
  std::ranges::transform(text, text.begin(), [](unsigned char c) { return std::tolower(c); });
  return text;
}

std::vector<std::string> split(const std::string& words) {
  std::vector<std::string> out(1);
  for (const char c : words) {
    if (c == ' ' || c == '@' || c == '\t')
      out.emplace_back();
    else
      out.back() += c;
  }
  std::erase(out, "");
  return out;
}

std::string stem(const std::string& scan) {
  const std::string name = std::filesystem::path(scan).filename().string();
  return name.substr(0, name.find('.'));
}

std::string pair_of(const TestValue& v) {
  return v.pair.first.empty() ? "" : v.pair.first + "-" + v.pair.second;
}

bool fits(const std::string& word, const CharacteristicResult& c, std::size_t index) {
  const TestValue& v = c.values[index].value;
  const std::string file = std::filesystem::path(v.scan).filename().string();
  const std::string first = v.place.substr(0, v.place.find(','));
  for (const std::string& name : {c.id,
                                  c.symbol,
                                  v.scan,
                                  file,
                                  stem(v.scan),
                                  v.place,
                                  first,
                                  v.zone,
                                  v.artefact,
                                  v.ball,
                                  pair_of(v)})
    if (!name.empty() && lower(name) == lower(word)) return true;
  return lower(word) == "worst" && c.worst >= 0 && index == static_cast<std::size_t>(c.worst);
}

std::optional<double> untruncated_dof(const TestValue& v) {
  double sum = 0;
  for (const BudgetLine& line : v.budget)
    if (line.dof) sum += std::pow(line.u, 4) / *line.dof;
  if (!(sum > 0)) return std::nullopt;
  return std::pow(v.u, 4) / sum;
}

bool belongs(const FeatureRecord& f, const TestValue& v) {
  if (f.artefact != v.artefact) return false;
  if (!v.pair.first.empty()) return f.ball == v.pair.first || f.ball == v.pair.second;
  return v.ball.empty() ? !f.sphere : f.ball == v.ball;
}

Explanation explain(const Results& r, const CharacteristicResult& c, std::size_t index) {
  Explanation e;
  e.results = &r;
  e.characteristic = &c;
  e.judged = &c.values[index];
  const TestValue& v = e.value();
  const auto scan = std::ranges::find(r.scans, v.scan, &ScanRecord::file);
  if (scan != r.scans.end()) {
    e.scan = &*scan;
    for (const FeatureRecord& f : scan->features)
      if (belongs(f, v)) e.features.push_back(&f);
    if (e.features.size() == 2 && e.features[0]->ball != v.pair.first)
      std::swap(e.features[0], e.features[1]);
  }
  const auto artefact = std::ranges::find(r.session.artefacts, v.artefact, &Artefact::serial);
  if (artefact != r.session.artefacts.end()) e.artefact = &*artefact;
  const auto rule = r.session.procedure.characteristics.find(v.id);
  if (rule != r.session.procedure.characteristics.end()) e.rule = &rule->second;
  e.dof = untruncated_dof(v);
  return e;
}

}  // namespace

std::string value_name(const TestValue& v) {
  std::string name = v.id + "@" + stem(v.scan);
  if (!v.pair.first.empty()) name += " " + pair_of(v);
  if (!v.ball.empty()) name += " " + v.ball;
  return name;
}

std::vector<Explanation> find_values(const Results& results, const std::string& words) {
  const std::vector<std::string> wanted = split(words);
  std::vector<Explanation> out;
  for (const CharacteristicResult& c : results.characteristics)
    for (std::size_t i = 0; i < c.values.size(); ++i)
      if (std::ranges::all_of(wanted, [&](const auto& word) { return fits(word, c, i); }))
        out.push_back(explain(results, c, i));
  return out;
}

}  // namespace rigproof
