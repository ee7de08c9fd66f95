#include "diagnose/diagnose.h"

#include <algorithm>
#include <cmath>

#include "diagnose/advice.h"
#include "diagnose/plausible.h"

namespace rigproof {
namespace {

constexpr double kLarge = 5;       // multiples of the detection limit
constexpr double kMuchLeft = 1.5;  // χ² per degree of freedom that calls for wider uncertainties
constexpr std::size_t kLeastRows = 3;

Volume seen_volume(const DiagnosisInput& in) {
  if (in.field) return in.field->volume;
  Box box;
  for (const auto& b : in.observations.balls) box.add(b.sphere.center);
  for (const auto& p : in.observations.plates)
    for (std::size_t k = 0; k < p.means.size(); ++k) box.add(p.patch(k));
  // About the view axis, as a volume is. One millimetre at least, for a single place.
  const double x = std::max({1.0, std::abs(box.lo.x()), std::abs(box.hi.x())});
  const double y = std::max({1.0, std::abs(box.lo.y()), std::abs(box.hi.y())});
  const double depth = std::max(1.0, box.hi.z() - box.lo.z());
  return Volume::box(2 * x, 2 * y, depth, 0.5 * (box.lo.z() + box.hi.z()));
}

// A column a signature, then what each of its variations changes.
Eigen::MatrixXd effects_of(const ObservationModel& model, const std::vector<Signature>& all) {
  std::vector<Eigen::VectorXd> columns;
  for (const Signature& s : all) columns.push_back(model.effect(s.displacement));
  for (std::size_t i = 0; i < all.size(); ++i)
    for (const Displacement& v : all[i].variations) columns.push_back(model.effect(v) - columns[i]);
  Eigen::MatrixXd out(static_cast<Eigen::Index>(model.rows().size()),
                      static_cast<Eigen::Index>(columns.size()));
  for (std::size_t i = 0; i < columns.size(); ++i)
    out.col(static_cast<Eigen::Index>(i)) = columns[i];
  return out;
}

double worst_length(const ObservationModel& model, const Eigen::VectorXd& values) {
  double worst = 0;
  for (std::size_t i = 0; i < model.rows().size(); ++i)
    if (model.rows()[i].kind == ObservationKind::length)
      worst = std::max(worst, std::abs(values[static_cast<Eigen::Index>(i)]));
  return worst;
}

// Each cause with its coefficient in the best model that names it.
class Naming {
 public:
  /// `scale` > 1: values were ranked as if all uncertainties were so many times larger.
  Naming(const DiagnosisModel& m, const SignatureRanking& r, double scale)
      : m_(m), r_(r), scale_(scale), y_(m.observations.values()) {}

  std::vector<Cause> causes() {
    if (r_.pair)
      for (const PairFit& p : r_.pair_set) {
        if (!possible(p.first, p.coefficient_first) || !possible(p.second, p.coefficient_second))
          continue;
        add(p.first, p.coefficient_first, p.u_first, p);
        add(p.second, p.coefficient_second, p.u_second, p);
      }
    else
      for (const int i : r_.set)
        if (possible(i, r_.singles[i].coefficient))
          add(i, r_.singles[i].coefficient, r_.singles[i].u, std::nullopt);
    return std::move(out_);
  }

 private:
  bool possible(int i, double coefficient) const {
    const Signature& s = m_.signatures[i];
    return is_possible({s.id, s.unit, scale_ * coefficient}, m_.volume);
  }

  void add(int i, double coefficient, double u, const std::optional<PairFit>& pair) {
    if (std::ranges::find(named_, i) != named_.end()) return;
    named_.push_back(i);
    coefficient *= scale_;
    u *= scale_;
    const Signature& s = m_.signatures[i];
    Cause c{s.id, s.unit, coefficient, u, r_.singles[i].drop, 0, s.zone, 0};
    Eigen::VectorXd left = y_;
    if (pair) {
      const double other = r_.singles[i == pair->first ? pair->second : pair->first].drop;
      c.share = 0.5 * (c.chi2_drop + pair->drop - other) / pair->drop;
      left -= scale_ * (m_.effects.col(pair->first) * pair->coefficient_first +
                        m_.effects.col(pair->second) * pair->coefficient_second);
    } else {
      c.share = c.chi2_drop / std::max(c.chi2_drop, r_.singles[r_.best].drop);
      left -= m_.effects.col(i) * coefficient;
    }
    c.worst_after = worst_length(m_.observations, left);
    out_.push_back(c);
  }

  const DiagnosisModel& m_;
  const SignatureRanking& r_;
  double scale_;
  Eigen::VectorXd y_;
  std::vector<int> named_;
  std::vector<Cause> out_;
};

double left_per_dof(const DiagnosisModel& m, const SignatureRanking& r) {
  const int named = r.best < 0 ? 0 : r.pair ? 2 : 1;
  const auto dof =
      static_cast<int>(m.observations.rows().size()) - m.observations.free_parameters() - named;
  return dof > 0 ? r.left / dof : 0;
}

std::vector<DetectionLimit> detection_limits(const DiagnosisModel& m) {
  std::vector<DetectionLimit> out;
  for (std::size_t i = 0; i < m.signatures.size(); ++i) {
    if (!(m.geometry.u[i] > 0)) continue;
    const Signature& s = m.signatures[i];
    const double value = m.geometry.detection[i];
    const DetectionLimit limit{s.id, s.unit, value, value * worst_length_change(s, m.volume)};
    // Of the dents the one that is seen worst stands for all where there is evidence.
    if (!out.empty() && out.back().id == s.id) {
      if (out.back().value < value) out.back() = limit;
      continue;
    }
    out.push_back(limit);
  }
  return out;
}

}  // namespace

DiagnosisModel::DiagnosisModel(const DiagnosisInput& in)
    : observations(in.observations),
      rig(in.rig ? pictured_rig(*in.rig, in.field) : std::nullopt),
      volume(seen_volume(in)),
      signatures(rigproof::signatures(rig, volume, observations.longest_mm())),
      effects(effects_of(observations, signatures)),
      whitening(observations.covariance()),
      design(whitening(effects), signatures),
      geometry(signature_geometry(
          whitening(effects.leftCols(static_cast<Eigen::Index>(signatures.size()))), signatures)) {}

double worst_length_change(const Signature& signature, const Volume& volume) {
  std::vector<Vec3> at, moved;
  for (int i = 0; i < 27; ++i) {
    const Vec3 p =
        volume.from_normalized(Eigen::Vector3i(i % 3 - 1, i / 3 % 3 - 1, i / 9 - 1).cast<double>());
    at.push_back(p);
    moved.push_back(signature.displacement({p, -p.normalized(), 1}));
  }
  double worst = 0;
  for (std::size_t i = 0; i < at.size(); ++i)
    for (std::size_t j = i + 1; j < at.size(); ++j)
      worst = std::max(worst, std::abs((at[j] - at[i]).normalized().dot(moved[j] - moved[i])));
  return worst;
}

std::vector<std::vector<std::string>> indistinguishable(const DiagnosisModel& m) {
  std::vector<std::vector<std::string>> groups;
  std::vector<std::size_t> first;
  for (std::size_t i = 0; i < m.signatures.size(); ++i) {
    const auto& g = m.geometry;
    if (!(g.u[i] > 0) || m.signatures[i].id == "local") continue;
    const double z = kLarge * g.detection[i] / g.u[i];
    const auto like = [&](std::size_t j) {
      const double c = g.cosine(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j));
      return z * z * (1 - c * c) <= g.set_width[i];
    };
    std::size_t k = 0;
    while (k < groups.size() && !like(first[k])) ++k;
    if (k == groups.size()) {
      groups.emplace_back();
      first.push_back(i);
    }
    groups[k].push_back(m.signatures[i].id);
  }
  std::erase_if(groups, [](const auto& group) { return group.size() < 2; });
  return groups;
}

Diagnosis diagnose(const DiagnosisInput& in) {
  Diagnosis d;
  const auto lengths_and_sizes = [](const ObservationModel& m) {
    return static_cast<std::size_t>(std::ranges::count_if(
        m.rows(), [](const auto& row) { return row.kind != ObservationKind::patch; }));
  };
  const ObservationModel seen(in.observations);
  if (lengths_and_sizes(seen) < kLeastRows && in.observations.plates.empty()) return d;
  const DiagnosisModel model(in);
  d.ran = true;
  d.geometry = "generic";
  if (model.rig && in.rig->stereo) d.geometry = in.rig->stereo->tape ? "tape" : "stereo";
  const Eigen::VectorXd y = model.observations.values(), white = model.whitening(y);
  SignatureRanking ranking = rank(white, model.design, model.geometry);
  d.chi2_per_dof = left_per_dof(model, ranking);
  // What no signature explains makes everything else less certain.
  const double scale = d.chi2_per_dof > kMuchLeft ? std::sqrt(d.chi2_per_dof) : 1;
  if (scale > 1) ranking = rank(white / scale, model.design, model.geometry);
  d.clean = ranking.best < 0;
  d.two_faults = ranking.pair.has_value();
  d.worst_sd = worst_length(model.observations, y);
  if (!d.clean) d.causes = Naming(model, ranking, scale).causes();
  const auto explained =
      std::erase_if(d.causes, [&](const Cause& cause) { return is_explained(cause, in.findings); });
  if (explained > 0 && d.causes.empty()) d.clean = true;  // nothing is left for a fault of the rig
  d.two_faults = d.two_faults && d.causes.size() > 1;
  d.indistinguishable = indistinguishable(model);
  d.detection_limits = detection_limits(model);
  d.advice = advice(in, model, d);
  return d;
}

}  // namespace rigproof
