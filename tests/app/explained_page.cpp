#include "app/explained_page.h"

#include <algorithm>
#include <cmath>
#include <sstream>
#include <vector>

#include <gtest/gtest.h>

#include "app/calculator.h"

namespace rigproof {
namespace {

struct Page {
  std::vector<std::string> lines;

  explicit Page(const std::string& text) {
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) lines.push_back(line);
  }
  std::string after(const std::string& start) const {
    for (const std::string& line : lines)
      if (const auto at = line.find(start); at != std::string::npos)
        return line.substr(at + start.size());
    ADD_FAILURE() << "no line with " << start;
    return "0";
  }
  double number(const std::string& start) const { return std::atof(after(start).c_str()); }
};

struct Equation {
  std::string name, expression, result;
};

// "  name = expression = 1.25 mm"
std::vector<Equation> equations(const Page& page) {
  std::vector<Equation> out;
  for (const std::string& line : page.lines) {
    const auto first = line.find(" = "), last = line.rfind(" = ");
    if (first == std::string::npos || first == last) continue;
    std::istringstream rest(line.substr(last + 3));
    Equation e{line.substr(0, first), line.substr(first + 3, last - first - 3), ""};
    e.name.erase(0, e.name.find_first_not_of(' '));
    rest >> e.result;
    if (e.name == "p(within)") continue;  // F is no key of a calculator; see the next test
    out.push_back(e);
  }
  return out;
}

// Half a unit of the last printed place, and what the rounding of the printed inputs may add.
double tolerance(const Equation& e) {
  const auto point = e.result.find('.');
  if (point == std::string::npos || e.result.find('e') != std::string::npos)
    return 1e-9 * std::abs(std::atof(e.result.c_str())) + 1e-15;
  const double step = std::pow(10, -static_cast<double>(e.result.size() - point - 1));
  // Differences of coordinates, or of distances that are.
  bool coordinates = false;
  for (const char* of : {"measured", "e", "low", "high", "d", "width", "minimum_zone"})
    coordinates = coordinates || e.name.starts_with(of);
  coordinates = coordinates || e.name.ends_with("_shell");
  return (coordinates ? 3 : 0.51) * step + 1e-9 * std::abs(std::atof(e.result.c_str()));
}

struct Line {
  double u = 0, dof = 0;  // µm; 0: infinite
};

std::vector<Line> budget(const Page& page) {
  std::vector<Line> out;
  bool inside = false;
  for (const std::string& line : page.lines) {
    if (line.starts_with("  line ")) {
      inside = true;
      continue;
    }
    if (!inside) continue;
    if (line.find(": u = ") != std::string::npos || line.size() < 60) break;
    std::istringstream rest(line.substr(46));
    Line l;
    std::string dof;
    rest >> l.u >> dof;
    l.dof = dof == "inf" ? 0 : std::atof(dof.c_str());
    out.push_back(l);
  }
  EXPECT_GE(out.size(), 5u);
  return out;
}

}  // namespace

void expect_computed_again(const std::string& text) {
  SCOPED_TRACE(text);
  const Page page(text);

  // Every line with two equals signs.
  const std::vector<Equation> all = equations(page);
  EXPECT_GE(all.size(), 10u);
  for (const Equation& e : all)
    EXPECT_NEAR(calculate(e.expression), std::atof(e.result.c_str()), tolerance(e))
        << e.name << " = " << e.expression;

  // The predicted repeatability, of each kind.
  EXPECT_TRUE(std::ranges::any_of(all, [](const Equation& e) { return e.name == "u_fit"; }));

  // u, ν, k and U from the table alone (four decimals of a micrometre).
  double square = 0, over = 0, rounding = 0.01;  // of ν, relative: four times that of a u
  for (const Line& line : budget(page)) {
    square += line.u * line.u;
    if (line.dof > 0 && line.u > 0) {
      over += std::pow(line.u, 4) / line.dof;
      rounding = std::max(rounding, 4 * 0.51e-4 / line.u);
    }
  }
  const double u = std::sqrt(square) / 1000;
  double dof = over > 0 ? std::floor(square * square / over) : 0;
  if (dof > 1e6) dof = 0;
  const auto printed = [&](const std::string& wanted) {
    // The last of a name: the lines of the budget have a u of their own before.
    for (auto e = all.rbegin(); e != all.rend(); ++e)
      if (e->name == wanted) return std::atof(e->result.c_str());
    ADD_FAILURE() << "no " << wanted;
    return 0.0;
  };
  EXPECT_NEAR(u, printed("u"), 2e-7);
  if (over > 0) {
    const std::string nu = page.after("truncated: nu = ");
    EXPECT_NEAR(dof, nu == "inf" ? 0 : std::atof(nu.c_str()), rounding * dof + 1);
    dof = nu == "inf" ? 0 : std::atof(nu.c_str());
  }
  const double k = page.number("  k = ");
  EXPECT_NEAR(two_sided_quantile(std::erf(std::sqrt(2.0)), dof), k, 1e-6);
  EXPECT_NEAR(k * u, printed("U"), 5e-7);

  // p and the verdict.
  const bool is_signed = text.find("F(z1)-F(z2)") != std::string::npos;
  const double p =
      distribution(printed("z1"), dof) - (is_signed ? distribution(printed("z2"), dof) : 0);
  const double p_printed =
      page.number(is_signed ? "p(within) = F(z1)-F(z2) = " : "p(within) = F(z1) = ");
  EXPECT_NEAR(p, p_printed, 2e-6);
  EXPECT_NE(text.find("rule proven"), std::string::npos);
  EXPECT_EQ(page.after("verdict of this value: "),
            p >= 0.95   ? "within"
            : p <= 0.05 ? "outside"
                        : "undecided");
}

}  // namespace rigproof
