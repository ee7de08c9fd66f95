#pragma once

#include <optional>
#include <vector>

#include "diagnose/signature.h"

namespace rigproof {

/// Generalised least squares of one signature alone.
struct SingleFit {
  double coefficient = 0, u = 0;  ///< in the signature's unit; u 0: the session cannot see it
  double drop = 0;                ///< of χ²
  double plain_drop = 0;          ///< the same with the signature taken as exactly known
  bool seen() const { return u > 0; }
};

/// Two signatures together. Indices into the signatures.
struct PairFit {
  int first = -1, second = -1;  ///< first has the larger drop alone
  double drop = 0;
  double coefficient_first = 0, u_first = 0, coefficient_second = 0, u_second = 0;
};

/// What only the geometry of the session decides: how alike the signatures are in it, and the
/// thresholds that chance then asks for. Simulated with a fixed seed (4,000 sessions), so that the
/// same session has the same thresholds.
struct SignatureGeometry {
  Eigen::MatrixXd cosine;         ///< of whitened signatures
  std::vector<double> u;          ///< of the coefficients; 0: not seen
  std::vector<double> alarm;      ///< |z| that 5 % of clean sessions exceed, familywise
  std::vector<double> detection;  ///< magnitude found with 95 % probability
  std::vector<double> set_width;  ///< score that a true cause lies below the best, 95 %
  double second_width = 0;        ///< rise of the score by a second fault that is not there, 95 %
};

/// `whitened`: L⁻¹X, a column a signature.
SignatureGeometry signature_geometry(const Eigen::MatrixXd& whitened,
                                     const std::vector<Signature>& signatures);

/// Whitened signatures and their variations: what a fit needs of them.
class SignatureDesign {
 public:
  /// Columns of `whitened`: the signatures, then the variations of the first, of the second …
  SignatureDesign(const Eigen::MatrixXd& whitened, const std::vector<Signature>& signatures);

  /// Least squares of these signatures against whitened values y. A variation may take any share
  /// of its signature's coefficient, with standard deviation one of it.
  struct Fit {
    Eigen::VectorXd coefficient, u;
    double drop = 0;
    bool ok = false;
  };
  Fit fit(const Eigen::VectorXd& projections, const std::vector<int>& chosen) const;
  Eigen::VectorXd projections(const Eigen::VectorXd& y) const { return columns_.transpose() * y; }

 private:
  Eigen::MatrixXd columns_, gram_;
  std::vector<std::vector<int>> variations_;
};

/// The ranking of one session. A signature's score is its drop of χ² less the square of its
/// family's alarm level, so that what is held to the smaller share of false alarms must explain
/// more.
struct SignatureRanking {
  std::vector<SingleFit> singles;
  int best = -1;                  ///< −1: nothing above its alarm level
  std::vector<int> set;           ///< within set_width of the best, best first
  std::optional<PairFit> pair;    ///< where one fault is not enough
  std::vector<PairFit> pair_set;  ///< pairs within the set width of the best pair
  double left = 0;                ///< χ² that the best model leaves
};
SignatureRanking rank(const Eigen::VectorXd& whitened_values,
                      const SignatureDesign& design,
                      const SignatureGeometry& geometry);

/// Rows y and columns X divided by the Cholesky factor of the covariance; throws Error(internal)
/// when it is not positive definite.
class Whitening {
 public:
  explicit Whitening(const Eigen::MatrixXd& covariance);
  Eigen::MatrixXd operator()(const Eigen::MatrixXd& columns) const;

 private:
  Eigen::MatrixXd factor_;
};

}  // namespace rigproof
