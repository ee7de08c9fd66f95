#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/axis.h"
#include "report/bar_plot.h"
#include "report/chart_range.h"
#include "report/color_scale.h"
#include "report/contour.h"
#include "report/control_chart.h"
#include "report/deviation_map.h"
#include "report/qr_code.h"
#include "report/residual_plots.h"
#include "report/svg_canvas.h"
#include "report/text_measure.h"
#include "report/value_plot.h"

namespace rigproof {
namespace {

TEST(Ticks, StepsAreOneTwoFiveAndCoverTheRange) {
  for (const double span : {0.7, 1.0, 3.1, 7.7, 24.0, 480.0, 1e-4}) {
    const Ticks t = ticks(-0.4 * span, span, 7);
    const double mantissa = t.step / std::pow(10, std::floor(std::log10(t.step) + 1e-9));
    EXPECT_TRUE(std::abs(mantissa - 1) < 1e-9 || std::abs(mantissa - 2) < 1e-9 ||
                std::abs(mantissa - 5) < 1e-9)
        << t.step;
    EXPECT_LE(t.low(), -0.4 * span + 1e-12);
    EXPECT_GE(t.high(), span - 1e-12);
    EXPECT_LE(t.at.size(), 8u);
  }
  EXPECT_GE(ticks(5, 5, 4).at.size(), 2u);
}

// Numbers of documents, whatever they are.
TEST(Ticks, AreFewForRangesThatNoFrameCanShow) {
  const double inf = std::numeric_limits<double>::infinity(), none = std::nan("");
  for (const auto& [low, high] : std::vector<std::pair<double, double>>{{-inf, 0},
                                                                        {0, inf},
                                                                        {-inf, inf},
                                                                        {none, 1},
                                                                        {0, none},
                                                                        {-1.7e308, 1.7e308},
                                                                        {-1.7e308, 0},
                                                                        {1e300, -1e300},
                                                                        {0, 5e-324},
                                                                        {1e308, 1e308}}) {
    const Ticks t = ticks(low, high, 6);
    EXPECT_LE(t.at.size(), 8u) << low << " " << high;
    EXPECT_LT(t.low(), t.high());
    EXPECT_GT(t.step, 0);
  }
}

TEST(ControlChart, ShowsHistoriesOfAnyNumbers) {
  const double inf = std::numeric_limits<double>::infinity();
  for (const double first : {-1.7e308, 1e30, inf})
    for (const double second : {1.7e308, 0.0, -inf})
      for (const double U : {0.001, 1.7e308}) {
        TrendSeries series;
        series.unit = "mm";
        for (const double value : {first, second}) {
          series.points.emplace_back();
          series.points.back().day = "2026-01-01";
          series.points.back().value = value;
          series.points.back().U = U;
          series.points.back().limit = value;
        }
        series.phases.emplace_back();
        series.phases.back().count = 2;
        const std::string text = text_control_chart(series, 60, 11);
        EXPECT_EQ(std::ranges::count(text, '\n'), 12);
        SvgCanvas svg("chart", 860, 280);
        draw_control_chart(svg, series, {}, 860, 280, NumberStyle("en", false));
        EXPECT_LT(svg.finish("", "").size(), 100'000u);
      }
}

// Alarms are looked up for every point of a history.
TEST(ControlChart, MarksTheAlarmsOfEveryPhase) {
  TrendSeries series;
  series.points.resize(9);
  for (const std::size_t first : {0u, 3u, 4u}) {
    series.phases.emplace_back();
    series.phases.back().first = first;
  }
  series.phases[0].alarms = {0, 2};
  series.phases[2].alarms = {5, 6, 8};
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < series.points.size(); ++i)
    if (is_alarm(series, i)) found.push_back(i);
  EXPECT_THAT(found, testing::ElementsAre(0, 2, 5, 6, 8));
  EXPECT_FALSE(is_alarm(TrendSeries(), 0));
}

TEST(LimitBar, IsDrawnForWhatIsNoNumber) {
  const double none = std::nan("");
  SvgCanvas svg("bar", 100, 20);
  LimitBar bar;
  bar.value = bar.limit = bar.U = none;
  draw_limit_bar(svg, {0, 0}, 100, 20, bar);
  EXPECT_THAT(svg.finish("", ""), testing::Not(testing::HasSubstr("nan")));
  EXPECT_GE(NumberStyle("en", false).decimals_for(1, 1.7e308, none), 0);
}

TEST(ColorScale, NeutralAtZeroAndEquallyStrongOnBothSides) {
  const Rgb zero = signed_color(0);
  EXPECT_LE(std::max({zero.r, zero.g, zero.b}) - std::min({zero.r, zero.g, zero.b}), 1);
  EXPECT_EQ(signed_color(0.4 / kSignedSteps), zero);
  EXPECT_NE(signed_color(0.6 / kSignedSteps), zero);
  const auto luma = [](Rgb c) { return 0.299 * c.r + 0.587 * c.g + 0.114 * c.b; };
  for (int i = 1; i <= kSignedSteps; ++i) {
    const double share = double(i) / kSignedSteps;
    EXPECT_NEAR(luma(signed_color(share)), luma(signed_color(-share)), 14) << share;
    EXPECT_LT(luma(signed_color(share)), luma(signed_color(share - 1.0 / kSignedSteps)));
  }
  EXPECT_EQ(signed_color(7), signed_color(1));
}

TEST(ColorScale, WordsOnEveryMagnitudeMeetTheContrastOfWcag) {
  // WCAG 2.2, 1.4.3: at least 4.5 : 1, with the relative luminance of its glossary.
  const auto luminance = [](Rgb c) {
    const auto linear = [](int v) {
      const double s = v / 255.0;
      return s <= 0.04045 ? s / 12.92 : std::pow((s + 0.055) / 1.055, 2.4);
    };
    return 0.2126 * linear(c.r) + 0.7152 * linear(c.g) + 0.0722 * linear(c.b);
  };
  for (double share = 0; share <= 1; share += 0.01) {
    const Rgb ground = magnitude_color(share);
    const double words = needs_light_text(ground) ? 1.0 : 0.0;
    const double high = std::max(words, luminance(ground)),
                 low = std::min(words, luminance(ground));
    EXPECT_GE((high + 0.05) / (low + 0.05), 4.5) << share;
  }
}

TEST(Contours, OfAConeAreCirclesOfTheRightRadius) {
  constexpr int n = 41;
  std::vector<float> cone;
  for (int r = 0; r < n; ++r)
    for (int c = 0; c < n; ++c) cone.push_back(static_cast<float>(std::hypot(r - 20, c - 20)));
  const Shape lines = contours(cone, n, n, 10.25, {0, 0}, {1, 1});
  ASSERT_EQ(lines.size(), 1u);
  EXPECT_EQ(lines[0].points.front(), lines[0].points.back());
  for (const Point2& p : lines[0].points)
    EXPECT_NEAR(std::hypot(p[0] - 20.5, p[1] - 20.5), 10.25, 0.05);
}

TEST(Contours, LeaveOutCellsWithoutData) {
  std::vector<float> ramp;
  for (int r = 0; r < 5; ++r)
    for (int c = 0; c < 5; ++c) ramp.push_back(r == 2 ? std::nanf("") : c - 1.5f);
  const Shape lines = contours(ramp, 5, 5, 0, {0, 0}, {1, 1});
  EXPECT_EQ(lines.size(), 2u);
  const std::vector<float> smooth = smoothed(ramp, 5, 5);
  EXPECT_TRUE(std::isnan(smooth[12]));
  EXPECT_FALSE(std::isnan(smooth[0]));
}

FeatureRecord ball_with(double (*deviation)(const Vec3& normal)) {
  FeatureRecord f;
  f.center = {0, 0, 600};
  f.radius = 15;
  for (int i = 0; i < 4000; ++i) {
    // A cap of 60° about the direction to the rig, uniform by area (golden spiral).
    const double z = 1 - 0.5 * (i + 0.5) / 4000, phi = 2.399963229728653 * i;
    const double s = std::sqrt(1 - z * z);
    const Vec3 n(s * std::cos(phi), s * std::sin(phi), -z);
    const Vec3 p = f.center + f.radius * n;
    f.picture.push_back({static_cast<float>(p.x()),
                         static_cast<float>(p.y()),
                         static_cast<float>(p.z()),
                         static_cast<float>(deviation(n))});
  }
  return f;
}

TEST(DeviationField, UpIsUpAndLeftIsLeftAsSeenFromBehindTheRig) {
  // Y points down in the sensor frame: a bump at the top right has x > 0, y < 0.
  const DeviationField f = deviation_field(
      ball_with([](const Vec3& n) { return n.x() > 0.3 && n.y() < -0.3 ? 0.01 : 0.0; }));
  const auto at = [&](double u, double v) {
    const int c = static_cast<int>((u + 1) / 2 * f.columns),
              r = static_cast<int>((v + 1) / 2 * f.rows);
    return f.mean[static_cast<std::size_t>(r) * f.columns + c];
  };
  EXPECT_GT(at(0.55, -0.55), 0.005);
  EXPECT_EQ(at(-0.55, -0.55), 0);
  EXPECT_EQ(at(0.55, 0.55), 0);
}

TEST(DeviationField, CellsOfEqualAreaHoldEqualNumbersOfPoints) {
  // Lambert's projection keeps areas: r = 2 sin(θ/2), so that a cap of 60° ends at r = 1.
  const FeatureRecord ball = ball_with([](const Vec3&) { return 0.0; });
  const DeviationField f = deviation_field(ball);
  EXPECT_NEAR(f.half_width, 1.0, 1e-3);
  int inner = 0;
  for (const auto& p : ball.picture) {
    const Vec3 n = (Vec3(p[0], p[1], p[2]) - ball.center).normalized();
    inner += 2 * std::sin(std::acos(-n.z()) / 2) < 0.5;
  }
  EXPECT_NEAR(inner / 4000.0, 0.25, 0.01);
}

TEST(DeviationField, PointsAreCountedOncePerCell) {
  const DeviationField f = deviation_field(ball_with([](const Vec3& n) { return 0.002 * n.x(); }));
  double sum = 0;
  int cells = 0;
  for (const float m : f.mean)
    if (!std::isnan(m)) sum += m, ++cells;
  EXPECT_GT(cells, f.columns * f.rows / 2);
  EXPECT_NEAR(sum / cells, 0, 1e-5);
}

// An extent is a number of a document.
TEST(DeviationField, HasNoMoreRowsThanAPictureShows) {
  const double inf = std::numeric_limits<double>::infinity(), none = std::nan("");
  for (const auto& [length, width] : std::vector<std::pair<double, double>>{
           {1e-4, 1000}, {0, 0}, {1e-300, 1e30}, {1e30, 1e-4}, {none, none}, {-1, inf}}) {
    FeatureRecord plate;
    plate.sphere = false;
    plate.center = {0, 0, 600};
    plate.length_mm = length;
    plate.width_mm = width;
    plate.picture.assign(20, {0, 0, 600, 0.001f});
    const DeviationField f = deviation_field(plate);
    EXPECT_GE(f.rows, 2);
    EXPECT_LE(f.rows, 400);
    EXPECT_EQ(f.mean.size(), static_cast<std::size_t>(f.rows) * f.columns);
    SvgCanvas svg("map", 150, 150);
    draw(svg, f, 0.01, 150, 150);
  }
}

TEST(DeviationField, OfABallWithoutACentreIsEmpty) {
  FeatureRecord ball = ball_with([](const Vec3&) { return 0.0; });
  ball.center.x() = std::nan("");
  const DeviationField f = deviation_field(ball);
  EXPECT_TRUE(std::ranges::all_of(f.mean, [](float m) { return std::isnan(m); }));
  SvgCanvas svg("plots", 230, 150);
  draw_incidence(svg, ball, 0.01, 230, 150, {"", ""}, NumberStyle("en", false));
}

// A value whose place is not known has none on the axis, and would put the others out of order.
TEST(ValuePlot, TakesValuesWithoutAPlace) {
  ValuePlot plot;
  for (int i = 0; i < 400; ++i) {
    PlotValue v;
    v.x = i % 3 ? std::nan("") : 100 - i;
    v.y = 1;
    v.limit = 2;
    plot.values.push_back(v);
  }
  for (const bool any : {true, false}) {
    if (!any)
      for (PlotValue& v : plot.values) v.x = std::nan("");
    plot.y = value_ticks(plot.values, plot.signed_values);
    SvgCanvas svg("values", 320, 200);
    draw(svg, plot, 320, 200, NumberStyle("en", false));
    EXPECT_THAT(svg.finish("", ""), testing::HasSubstr("<svg"));
  }
}

TEST(TextMeasure, GrowsWithSizeAndShortensToFit) {
  const double ten = text_width("Rigproof 0.030 mm", {10});
  EXPECT_NEAR(text_width("Rigproof 0.030 mm", {20}), 2 * ten, 1e-9);
  EXPECT_GT(text_width("Rigproof 0.030 mm", {10, Ink::text, Anchor::start, true}), ten);
  // DejaVu Sans: digits have an advance of 1303/2048 em (the font's own table).
  EXPECT_NEAR(text_width("0000000000", {10}), 10 * 10 * 1303 / 2048.0, 0.02);
  const std::string cut = shortened(std::string(500, 'm'), 80, {10});
  EXPECT_LE(text_width(cut, {10}), 80);
  EXPECT_GT(text_width(cut, {10}), 60);
}

TEST(SvgCanvas, KeepsTextAsTextAndItsIdsToItself) {
  SvgCanvas svg("one", 100, 50);
  svg.begin({"P<1>", "\"title\""});
  svg.rect({0, 0}, 10, 10, {Ink::no_data, std::nullopt, true});
  svg.text({1.005, 2}, "a < b & c", {10});
  svg.end();
  const std::string out = svg.finish("T<", "D&");
  EXPECT_THAT(out, testing::HasSubstr(">a &lt; b &amp; c</text>"));
  EXPECT_THAT(out, testing::HasSubstr("data-key=\"P&lt;1&gt;\""));
  EXPECT_THAT(out, testing::HasSubstr("<title id=\"one-t\">T&lt;</title>"));
  EXPECT_THAT(out, testing::HasSubstr("id=\"one-hatch-no-data\""));
  EXPECT_THAT(out, testing::Not(testing::HasSubstr("style=")));
}

TEST(QrCode, HasTheFinderPatternsOfItsStandard) {
  // ISO/IEC 18004: side 17 + 4·version, finder patterns of 7 modules in three corners, a dark
  // module at (4·version + 9, 8).
  const QrCode code = qr_code("RIGPROOF 2026-03-14-R12-300 SHA-256 0123456789abcdef");
  const int version = (code.side - 17) / 4;
  EXPECT_EQ(code.side, 17 + 4 * version);
  const auto dark = [&](int r, int c) {
    return code.dark[static_cast<std::size_t>(r * code.side + c)];
  };
  const std::pair<int, int> corners[] = {{0, 0}, {0, code.side - 7}, {code.side - 7, 0}};
  for (const auto& [r0, c0] : corners)
    for (int r = 0; r < 7; ++r)
      for (int c = 0; c < 7; ++c) {
        const int ring = std::max(std::abs(r - 3), std::abs(c - 3));
        EXPECT_EQ(dark(r0 + r, c0 + c), ring != 2);
      }
  EXPECT_TRUE(dark(4 * version + 9, 8));
}

}  // namespace
}  // namespace rigproof
