// NIST Statistical Reference Datasets, univariate summary statistics NumAcc1–4: certified mean and
// standard deviation, on the moments that every fit starts from. Sums of squares about zero lose
// all digits of NumAcc4; sums about a near centre keep them. Storing 10000000.1 as a double costs
// up to 9e-10 of 0.1, so nine digits are all there are.
#include <gtest/gtest.h>

#include "fit/moments.h"

namespace rigproof {
namespace {

Points column(double first, double low, double high, int pairs) {
  Points p;
  p.push_local(first, 0, 0);
  for (int i = 0; i < pairs; ++i) {
    p.push_local(low, 0, 0);
    p.push_local(high, 0, 0);
  }
  return p;
}

void expect_certified(const Points& p, double mean, double sd, double digits) {
  const Moments m = moments(p);
  const double n = static_cast<double>(p.size());
  EXPECT_NEAR(m.centroid.x() / mean, 1, 1e-15);
  EXPECT_NEAR(std::sqrt(m.scatter(0, 0) / (n - 1)) / sd, 1, digits);
}

TEST(NistNumAcc, CertifiedMeansAndStandardDeviations) {
  expect_certified(column(10000002, 10000001, 10000003, 1), 10000002, 1, 1e-15);
  expect_certified(column(1.2, 1.1, 1.3, 500), 1.2, 0.1, 1e-13);
  expect_certified(column(1000000.2, 1000000.1, 1000000.3, 500), 1000000.2, 0.1, 2e-9);
  expect_certified(column(10000000.2, 10000000.1, 10000000.3, 500), 10000000.2, 0.1, 2e-8);
}

}  // namespace
}  // namespace rigproof
