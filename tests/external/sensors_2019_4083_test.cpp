// Sensors 2019, 19(19):4083, table 2: a target moved by known amounts before a stereo rig. The
// scale of its X readings is the table's least squares through the origin, Σ actual·read / Σ
// actual² = 3487.308147/3440.014869 = 1.0137479865 in exact arithmetic of the printed digits, here
// through the fit that the diagnosis ranks signatures by; the root mean square errors are printed
// there. mm
#include <cmath>

#include <gtest/gtest.h>

#include "diagnose/signature_fit.h"
#include "reference_table.h"

namespace rigproof {
namespace {

TEST(Sensors2019, ScaleOfTheReadingsAndPrintedErrors) {
  const reference::Table t = reference::table("sensors_2019_4083_table2.csv");
  std::vector<double> actual, read, raw;
  for (std::size_t i = 0; i < t.rows.size(); ++i) {
    if (t.text(i, "axis") != "X") continue;
    actual.push_back(t.number(i, "actual"));
    read.push_back(t.number(i, "avg_x"));
    raw.push_back(t.number(i, "raw_x"));
  }
  ASSERT_EQ(actual.size(), 7u);
  Signature scale;
  scale.id = "scale";
  const SignatureDesign design(Eigen::Map<const Eigen::MatrixXd>(actual.data(), 7, 1), {scale});
  const auto fit =
      design.fit(design.projections(Eigen::Map<const Eigen::VectorXd>(read.data(), 7)), {0});
  ASSERT_TRUE(fit.ok);
  EXPECT_NEAR(fit.coefficient[0], 1.0137479865, 1e-10);
  const auto rms = [&](const std::vector<double>& y) {
    double sum = 0;
    for (std::size_t i = 0; i < y.size(); ++i) sum += (y[i] - actual[i]) * (y[i] - actual[i]);
    return std::sqrt(sum / 7);
  };
  EXPECT_NEAR(rms(read), 0.397, 0.0005);  // printed
  EXPECT_NEAR(rms(raw), 0.389, 0.0005);
}

}  // namespace
}  // namespace rigproof
