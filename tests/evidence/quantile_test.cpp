#include "evidence/quantile.h"

#include <gtest/gtest.h>

#include "evaluate/distribution.h"

namespace rigproof {
namespace {

TEST(Quantile, MedianIsTheMiddleValueWhateverTheOrder) {
  EXPECT_EQ(median({5, -1, 3}), 3);
  EXPECT_EQ(median({4, 1, 3, 2}), 3);  // the upper one of two
  EXPECT_EQ(median({7}), 7);
  EXPECT_EQ(median({}), 0);
}

// 68.27 % of a normal distribution lie within one standard deviation.
TEST(Quantile, RobustSdOfNormalScoresIsTheirStandardDeviation) {
  std::vector<double> values;
  for (int i = 0; i < 10000; ++i) values.push_back(0.02 * normal_quantile((i + 0.5) / 10000));
  EXPECT_NEAR(robust_sd(values), 0.02, 2e-5);
  for (int i = 0; i < 200; ++i) values.push_back(1000);  // what flies off hardly matters
  EXPECT_NEAR(robust_sd(values), 0.02, 1e-3);
  EXPECT_EQ(robust_sd({}), 0);
}

}  // namespace
}  // namespace rigproof
