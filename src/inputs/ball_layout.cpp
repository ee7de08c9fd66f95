#include "inputs/ball_layout.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Eigenvalues>

#include "base/error.h"

namespace rigproof {
namespace {

/// The file that says it; what was typed by hand has no file.
std::string place_of(const Artefact& a) {
  return a.name.empty() ? "artefact " + a.serial : a.name + ".toml";
}

int ball_index(const Artefact& a, const std::string& id) {
  for (std::size_t i = 0; i < a.balls.size(); ++i)
    if (a.balls[i].id == id) return static_cast<int>(i);
  throw Error(ErrorKind::config,
              place_of(a) + ": a distance names ball \"" + id + "\", not listed",
              "Name two of the balls that the file lists, or add a [[ball]] of that id.");
}

// Classical scaling (Torgerson, Psychometrika 17 (1952) 401): positions in the plane from all
// pairwise distances.
std::vector<Vec3> from_distances(const Artefact& a, const Eigen::MatrixXd& squares) {
  const auto n = squares.rows();
  const Eigen::MatrixXd center = Eigen::MatrixXd::Identity(n, n) -
                                 Eigen::MatrixXd::Constant(n, n, 1.0 / static_cast<double>(n));
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(-0.5 * center * squares * center);
  const double largest = eigen.eigenvalues()[n - 1];
  if (n > 3 && eigen.eigenvalues()[n - 3] > 1e-4 * largest)
    throw Error(ErrorKind::config,
                place_of(a) + ": the balls do not lie in one plane",
                "Check the distances: a plan and a virtual scan know bars and flat ball plates.");
  std::vector<Vec3> out;
  for (Eigen::Index i = 0; i < n; ++i) {
    Vec3 p = Vec3::Zero();
    for (int k = 0; k < 2 && k < n; ++k)
      p[k] = eigen.eigenvectors()(i, n - 1 - k) *
             std::sqrt(std::max(0.0, eigen.eigenvalues()[n - 1 - k]));
    out.push_back(p);
  }
  return out;
}

}  // namespace

std::vector<Vec3> ball_layout(const Artefact& a, const std::vector<double>& lengths_mm) {
  const auto n = static_cast<Eigen::Index>(a.balls.size());
  if (n < 2) return {Vec3::Zero()};
  Eigen::MatrixXd squares = Eigen::MatrixXd::Constant(n, n, -1);
  squares.diagonal().setZero();
  for (std::size_t i = 0; i < a.distances.size(); ++i) {
    const int from = ball_index(a, a.distances[i].from), to = ball_index(a, a.distances[i].to);
    squares(from, to) = squares(to, from) = lengths_mm.at(i) * lengths_mm.at(i);
  }
  if (n == 2 && squares(0, 1) > 0) {
    const double half = std::sqrt(squares(0, 1)) / 2;
    return {Vec3(-half, 0, 0), Vec3(half, 0, 0)};
  }
  if (squares.minCoeff() < 0)
    throw Error(ErrorKind::config,
                place_of(a) + ": not every distance between its balls is listed",
                "List all pairs, or leave the artefact out.");
  return from_distances(a, squares);
}

std::vector<Vec3> ball_layout(const Artefact& a) {
  std::vector<double> lengths;
  for (const ArtefactDistance& d : a.distances) lengths.push_back(d.length.mm);
  return ball_layout(a, lengths);
}

}  // namespace rigproof
