#include "diagnose/signature_fit.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>

#include "base/error.h"

namespace rigproof {
namespace {

constexpr double kParallel = 0.995;  // cosine beyond which two coefficients have no meaning
constexpr int kRounds = 4;           // of a fit whose variations follow its coefficient
constexpr double kKnown = 0.05;      // relative error of a signature that nothing else accounts for

double score(const SingleFit& f, double alarm) { return f.drop - alarm * alarm; }

double score(const PairFit& p, const SignatureGeometry& g) {
  return p.drop - g.alarm[p.first] * g.alarm[p.first] - g.alarm[p.second] * g.alarm[p.second];
}

class Ranking {
 public:
  Ranking(const Eigen::VectorXd& y, const SignatureDesign& design, const SignatureGeometry& g)
      : design_(design), g_(g), along_(design.projections(y)) {
    r_.left = y.squaredNorm();
  }

  SignatureRanking take() {
    rank_singles();
    if (r_.best < 0) return std::move(r_);
    rank_pairs();
    r_.left -= r_.pair ? r_.pair->drop : r_.singles[r_.best].drop;
    return std::move(r_);
  }

 private:
  /// What the best may gain because no signature is known exactly.
  static double slack(double drop) { return kKnown * kKnown * drop; }

  SingleFit single(int i) const {
    SingleFit f;
    if (!(g_.u[i] > 0)) return f;
    const double z = along_[i] * g_.u[i];
    f.plain_drop = z * z;
    const auto fit = design_.fit(along_, {i});
    if (!fit.ok) return f;
    f.coefficient = fit.coefficient[0];
    f.u = fit.u[0];
    f.drop = fit.drop;
    return f;
  }

  void rank_singles() {
    const int n = static_cast<int>(g_.u.size());
    double top = -1e300;
    for (int i = 0; i < n; ++i) {
      r_.singles.push_back(single(i));
      const SingleFit& f = r_.singles.back();
      if (!f.seen() || f.plain_drop <= g_.alarm[i] * g_.alarm[i]) continue;
      if (score(f, g_.alarm[i]) <= top) continue;
      top = score(f, g_.alarm[i]);
      r_.best = i;
    }
    if (r_.best < 0) return;
    for (int i = 0; i < n; ++i)
      if (r_.singles[i].seen() && top - score(r_.singles[i], g_.alarm[i]) <=
                                      g_.set_width[i] + slack(r_.singles[r_.best].drop))
        r_.set.push_back(i);
    std::ranges::stable_sort(r_.set, [&](int a, int b) {
      return score(r_.singles[a], g_.alarm[a]) > score(r_.singles[b], g_.alarm[b]);
    });
  }

  std::optional<PairFit> pair(int i, int j) const {
    if (!r_.singles[i].seen() || !r_.singles[j].seen()) return std::nullopt;
    if (std::abs(g_.cosine(i, j)) > kParallel) return std::nullopt;
    if (r_.singles[j].drop > r_.singles[i].drop) std::swap(i, j);
    const auto fit = design_.fit(along_, {i, j});
    if (!fit.ok) return std::nullopt;
    return PairFit{i, j, fit.drop, fit.coefficient[0], fit.u[0], fit.coefficient[1], fit.u[1]};
  }

  void rank_pairs() {
    std::vector<PairFit> all;
    const int n = static_cast<int>(r_.singles.size());
    for (int i = 0; i < n; ++i)
      for (int j = i + 1; j < n; ++j)
        if (const auto p = pair(i, j)) all.push_back(*p);
    if (all.empty()) return;
    std::ranges::stable_sort(
        all, [&](const PairFit& a, const PairFit& b) { return score(a, g_) > score(b, g_); });
    const double top = score(all.front(), g_);
    const double single = score(r_.singles[r_.best], g_.alarm[r_.best]);
    if (top - single <= g_.second_width + slack(all.front().drop)) return;
    r_.pair = all.front();
    for (const PairFit& p : all)
      if (top - score(p, g_) <=
          std::max(g_.set_width[p.first], g_.set_width[p.second]) + slack(all.front().drop))
        r_.pair_set.push_back(p);
  }

  const SignatureDesign& design_;
  const SignatureGeometry& g_;
  Eigen::VectorXd along_;
  SignatureRanking r_;
};

}  // namespace

Whitening::Whitening(const Eigen::MatrixXd& covariance) {
  const Eigen::LLT<Eigen::MatrixXd> llt(covariance);
  if (llt.info() != Eigen::Success)
    throw Error(ErrorKind::internal, "the covariance of the observations is not positive definite");
  factor_ = llt.matrixL();
}

Eigen::MatrixXd Whitening::operator()(const Eigen::MatrixXd& columns) const {
  return factor_.triangularView<Eigen::Lower>().solve(columns);
}

SignatureDesign::SignatureDesign(const Eigen::MatrixXd& whitened,
                                 const std::vector<Signature>& signatures)
    : columns_(whitened), gram_(whitened.transpose() * whitened) {
  int next = static_cast<int>(signatures.size());
  for (const Signature& s : signatures) {
    variations_.emplace_back();
    for (std::size_t k = 0; k < s.variations.size(); ++k) variations_.back().push_back(next++);
  }
}

SignatureDesign::Fit SignatureDesign::fit(const Eigen::VectorXd& along,
                                          const std::vector<int>& chosen) const {
  const auto m = static_cast<Eigen::Index>(chosen.size());
  std::vector<int> used = chosen, owner(chosen.size(), -1);
  for (std::size_t k = 0; k < chosen.size(); ++k)
    for (const int v : variations_[chosen[k]]) {
      used.push_back(v);
      owner.push_back(static_cast<int>(k));
    }
  const Eigen::MatrixXd gram = gram_(used, used);
  const Eigen::VectorXd right = along(used);
  Fit out;
  const Eigen::LLT<Eigen::MatrixXd> plain(gram.topLeftCorner(m, m));
  if (plain.info() != Eigen::Success) return out;
  out.coefficient = plain.solve(right.head(m));
  out.u = plain.solve(Eigen::MatrixXd::Identity(m, m)).diagonal().cwiseSqrt();
  out.drop = right.head(m).dot(out.coefficient);
  out.ok = true;
  if (used.size() == chosen.size()) return out;
  for (int round = 0; round < kRounds; ++round) {
    Eigen::MatrixXd held = gram;
    for (std::size_t k = chosen.size(); k < used.size(); ++k) {
      const double a = std::max(std::abs(out.coefficient[owner[k]]), out.u[owner[k]]);
      held(static_cast<Eigen::Index>(k), static_cast<Eigen::Index>(k)) += 1 / (a * a);
    }
    const Eigen::LLT<Eigen::MatrixXd> llt(held);
    if (llt.info() != Eigen::Success) return out;
    const Eigen::VectorXd solution = llt.solve(right);
    const auto n = held.rows();
    out.u = llt.solve(Eigen::MatrixXd::Identity(n, n)).diagonal().head(m).cwiseSqrt();
    out.coefficient = solution.head(m);
    out.drop = right.dot(solution);
  }
  return out;
}

SignatureRanking rank(const Eigen::VectorXd& y,
                      const SignatureDesign& design,
                      const SignatureGeometry& g) {
  return Ranking(y, design, g).take();
}

}  // namespace rigproof
