#include "fit/minimax.h"

#include <algorithm>
#include <cfloat>
#include <cmath>

#include "fit/decompose.h"

namespace rigproof {
namespace {

constexpr int kMaxPivots = 2000;

// Primal: min h with ±(d − n·δ − δr) ≤ h and ±δ_k ≤ reach. Dual: max Σ cost·λ over columns λ ≥ 0
// with Σ column·λ = (0,0,0,0,1). Columns 0 … 2m−1 are the residuals (2i above, 2i+1 below), then
// the six bounds (2m+2k: δ_k ≤ reach, 2m+2k+1: δ_k ≥ −reach).
class Dual {
 public:
  Dual(const Linearised& r, double reach) : r_(r), reach_(reach), bounds_(2 * int(r.d.size())) {}

  Vec5 column(int j) const {
    Vec5 c = Vec5::Zero();
    if (j < bounds_) {
      c << r_.n[j / 2], 1, 1;
      if (j % 2) c.head<4>() *= -1;
    } else {
      const int k = (j - bounds_) / 2;
      c[k] = (j - bounds_) % 2 ? 1 : -1;
    }
    return c;
  }

  double cost(int j) const {
    if (j >= bounds_) return -reach_;
    return j % 2 ? -r_.d[j / 2] : r_.d[j / 2];
  }

  // Basis of the highest and the lowest residual, always feasible: the bounds take up the rest.
  void start() {
    const auto [low, high] = std::ranges::minmax_element(r_.d);
    const int p = int(high - r_.d.begin()), q = int(low - r_.d.begin());
    basis_[0] = 2 * p;
    basis_[1] = 2 * q + 1;
    const Vec3 rest = r_.n[p] - r_.n[q];
    for (int k = 0; k < 3; ++k) basis_[2 + k] = bounds_ + 2 * k + (rest[k] >= 0 ? 0 : 1);
  }

  bool solve() {
    for (int pivot = 0; pivot < kMaxPivots; ++pivot) {
      if (!evaluate()) return false;
      const int enter = price();
      if (enter < 0) return true;
      if (!exchange(enter)) return false;
    }
    return false;
  }

  const std::array<int, 5>& basis() const { return basis_; }
  const Vec5& primal() const { return y_; }  // δ, δr, h
  const Vec5& multipliers() const { return x_; }
  bool is_bound(int j) const { return j >= bounds_; }

 private:
  bool evaluate() {
    Mat5 b;
    Vec5 c;
    for (int k = 0; k < 5; ++k) {
      b.col(k) = column(basis_[k]);
      c[k] = cost(basis_[k]);
    }
    if (!invert_basis(b, inverse_)) return false;
    x_ = inverse_.col(4);
    y_ = inverse_.transpose() * c;
    return true;
  }

  // The constraint that the primal point breaks most, or −1.
  int price() const {
    int worst = -1;
    double most = 0;
    for (int i = 0; i < bounds_ / 2; ++i) {
      const double left = r_.d[i] - r_.n[i].dot(y_.head<3>()) - y_[3];
      const double broken = std::abs(left) - y_[4];
      if (broken > most) most = broken, worst = 2 * i + (left < 0 ? 1 : 0);
    }
    for (int k = 0; k < 3; ++k)
      if (const double broken = std::abs(y_[k]) - reach_; broken > most)
        most = broken, worst = bounds_ + 2 * k + (y_[k] < 0 ? 1 : 0);
    const double scale = std::abs(y_[4]) + reach_ + std::abs(y_[3]);
    return most > 16 * DBL_EPSILON * scale ? worst : -1;
  }

  bool exchange(int enter) {
    const Vec5 direction = inverse_ * column(enter);
    int leave = -1;
    double least = 0;
    for (int k = 0; k < 5; ++k) {
      if (direction[k] <= 1e-12) continue;
      const double ratio = std::max(0.0, x_[k]) / direction[k];
      if (leave < 0 || ratio < least || (ratio == least && basis_[k] < basis_[leave]))
        leave = k, least = ratio;
    }
    if (leave < 0) return false;
    basis_[leave] = enter;
    return true;
  }

  const Linearised& r_;
  double reach_;
  int bounds_;
  std::array<int, 5> basis_{};
  Mat5 inverse_;
  Vec5 x_, y_;
};

}  // namespace

Minimax minimax_step(const Linearised& residuals, double reach) {
  Minimax result;
  if (residuals.d.empty()) return result;
  Dual dual(residuals, reach);
  dual.start();
  result.solved = dual.solve();
  if (!result.solved) return result;
  const Vec5& y = dual.primal();
  result.move = y.head<3>();
  result.radius = y[3];
  result.height = y[4];
  for (int k = 0; k < 5; ++k) {
    const int j = dual.basis()[k];
    const double multiplier = dual.multipliers()[k];
    if (dual.is_bound(j))
      result.reach_multiplier += multiplier;
    else
      result.contacts.push_back({j / 2, j % 2 == 0, multiplier});
  }
  return result;
}

}  // namespace rigproof
