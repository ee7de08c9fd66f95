#include "report/hostile_results.h"

#include <map>

#include "report/sample_results.h"

namespace rigproof {
namespace {

void spoil(Session& s, const std::string& text) {
  for (std::string* field : {&s.id,
                             &s.field_name,
                             &s.calibration,
                             &s.operator_name,
                             &s.customer,
                             &s.environment.measured_on,
                             &s.environment.log,
                             &s.rig.id,
                             &s.rig.serial,
                             &s.limits.name,
                             &s.limits.set_by,
                             &s.limits.role,
                             &s.procedure.name,
                             &s.procedure.title,
                             &s.procedure.style,
                             &s.procedure.retest})
    *field = text;
  s.procedure.deviations = {text, text};
  for (Field& f : s.rig.fields) f.name = text;
  for (auto& [id, rule] : s.procedure.characteristics) rule.confidence = text;
  for (Artefact& a : s.artefacts) {
    for (std::string* field :
         {&a.serial, &a.material, &a.certificate, &a.laboratory, &a.support, &a.surface})
      *field = text;
    for (ArtefactBall& b : a.balls) b.id = text;
    for (ArtefactDistance& d : a.distances) d.from = d.to = text;
  }
}

void spoil(TestValue& v, const std::string& text, const std::map<std::string, std::string>& files) {
  v.scan = files.at(v.scan);
  v.place = v.zone = v.artefact = v.ball = text;
  if (!v.pair.first.empty()) v.pair = {text, text};
  for (BudgetLine& line : v.budget) line.line = text;
}

}  // namespace

Results hostile_results(const std::string& text) {
  Results r = sample_results(SampleCase::outside);
  r.headline = "OUTSIDE LIMITS: " + text;
  r.next_step = r.calibration_sha256 = r.selftest = r.temperature.basis = text;
  spoil(r.session, text);
  std::map<std::string, std::string> files;
  int number = 0;
  for (ScanRecord& s : r.scans) {
    const std::string name = text + std::to_string(++number);
    files[s.file] = name;
    s.file = name;
    s.sha256 = s.format = s.reason = s.artefact = s.place = s.zone = text;
    for (FeatureRecord& f : s.features) f.artefact = f.ball = text;
  }
  for (CharacteristicResult& c : r.characteristics) {
    c.symbol = text;
    for (JudgedValue& v : c.values) spoil(v.value, text, files);
  }
  for (Finding& f : r.findings) {
    f.text = f.id = text;
    if (!f.scan.empty()) f.scan = files.at(f.scan);
  }
  for (Cause& c : r.diagnosis.causes) c.id = c.unit = text;
  for (auto& group : r.diagnosis.indistinguishable)
    for (std::string& id : group) id = text;
  for (std::string& line : r.diagnosis.advice) line = text;
  for (DetectionLimit& l : r.diagnosis.detection_limits) l.id = l.unit = text;
  for (InputRecord& i : r.inputs) i.path = i.sha256 = text;
  r.not_tested = {text};
  return r;
}

}  // namespace rigproof
