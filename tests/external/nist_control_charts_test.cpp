// Control charts: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (individuals and moving
// range), 6.3.2.3 (cumulative sums), 6.3.2.4 (weighted average). The data are partly from memory;
// every result was recomputed from the data as printed here.
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "record/chart.h"

namespace rigproof {
namespace {

const std::vector<double> kIndividuals{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};

TEST(NistControlCharts, Constants) {
  EXPECT_DOUBLE_EQ(kD2, 2 / std::sqrt(std::numbers::pi));
  EXPECT_NEAR(kD2, 1.128379, 5e-7);
  EXPECT_NEAR(3 / kD2, 2.658681, 5e-7);
  // D4 = 1 + 3 d3/d2 with d3 = √(2 − 4/π).
  EXPECT_DOUBLE_EQ(kD4, 1 + 3 * std::sqrt(2 - 4 / std::numbers::pi) / kD2);
}

TEST(NistControlCharts, IndividualsAndMovingRange) {
  const IndividualsChart chart = individuals_chart(kIndividuals);
  EXPECT_NEAR(chart.mean, 50.81, 1e-12);
  EXPECT_NEAR(chart.mean_range, 1.877778, 5e-7);
  // The handbook rounds d2 to 1.128 and D4 to 3.267.
  const double rounded = kD2 / 1.128;
  EXPECT_NEAR(chart.mean + (chart.upper - chart.mean) * rounded, 55.80409, 5e-6);
  EXPECT_NEAR(chart.mean + (chart.lower - chart.mean) * rounded, 45.81591, 5e-6);
  EXPECT_NEAR(chart.range_upper * 3.267 / kD4, 6.1347, 5e-5);
}

TEST(NistControlCharts, WeightedAverage) {
  const std::vector<double> values{52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5,
                                   49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
  const std::vector<double> expected{50.60,   49.52,   50.564,  50.1848, 50.1594, 49.2116, 49.7481,
                                     49.8537, 50.2576, 50.3303, 50.1112, 49.3578, 49.5205, 50.0543,
                                     49.3780, 49.9246, 50.7272, 51.2291, 51.9403, 51.9882};
  const EwmaChart chart = ewma_chart(values, 50, 2.0539, {0.3, 3});
  ASSERT_EQ(chart.z.size(), expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) {
    EXPECT_NEAR(chart.z[i], expected[i], 5.1e-5) << i;
    EXPECT_LT(std::abs(chart.z[i] - 50), chart.half_width[i]) << i;  // no alarm
  }
  const std::vector<double> start_up{1.8485, 2.2564, 2.4314, 2.5127, 2.5516};
  for (std::size_t i = 0; i < start_up.size(); ++i)
    EXPECT_NEAR(chart.half_width[i], start_up[i], 5.1e-5) << i;
  // Settled limits 52.5884 and 47.4116.
  EXPECT_NEAR(chart.half_width.back(), 2.5884, 1e-4);
}

TEST(NistControlCharts, CumulativeSums) {
  const std::vector<double> values{324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125,
                                   324.525, 325.225, 324.600, 324.625, 325.150, 328.325, 327.250,
                                   327.825, 328.500, 326.675, 327.775, 326.875, 328.350};
  const std::vector<double> high{0,      0,       0,       0,       0.0325,  0,      0,
                                 0,      0,       0,       0,       0,       3.0075, 4.9400,
                                 7.4475, 10.6300, 11.9875, 14.4450, 16.0025, 19.0350};
  const double decision = 4.1959;
  const Cusum sums = cusum(values, 325, 0.3175);
  for (std::size_t i = 0; i < high.size(); ++i) {
    EXPECT_NEAR(sums.high[i], high[i], 1e-9) << i;
    EXPECT_EQ(sums.high[i] > decision, i >= 13) << i;  // first alarm at the fourteenth
    EXPECT_LE(sums.low[i], 0.7150 + 1e-9) << i;
  }
  EXPECT_NEAR(sums.low[7], 0.7150, 1e-9);
}

}  // namespace
}  // namespace rigproof
