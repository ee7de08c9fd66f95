#include "locate/recognise.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

#include <fmt/format.h>

#include "locate/bar_match.h"

namespace rigproof {
namespace {

constexpr double kWide = 0.15;       // of a rig that is badly out
constexpr double kOneScale = 0.03;   // ratios that one scale explains
constexpr double kSameSize = 0.03;   // diameters looked for once
constexpr double kPlateSide = 0.10;  // relative agreement of a plate's sides
constexpr double kOneSide = 0.05;    // where the other side is torn off
constexpr double kPlateTells = 2;    // the next best plate must agree so many times worse

std::string percent(double ratio) { return fmt::format("{:+.1f} %", 100 * (ratio - 1)); }

/// One call of recognise().
class Recogniser {
 public:
  Recogniser(const Sighting& sighting,
             const std::vector<Artefact>& artefacts,
             const std::string& named,
             double tolerance)
      : sighting_(sighting), tolerance_(tolerance), used_(sighting.balls.size(), false) {
    for (const Artefact& a : artefacts)
      (named.empty() || a.serial == named ? wanted_ : others_).push_back(&a);
    std::ranges::stable_sort(
        wanted_, std::ranges::greater{}, [](const Artefact* a) { return a->balls.size(); });
  }

  Recognition run() {
    find_bars();
    find_single_balls();
    find_plates();
    explain_others();
    std::ranges::stable_sort(result_.found, [](const Recognised& a, const Recognised& b) {
      if (a.balls.size() != b.balls.size()) return a.balls.size() > b.balls.size();
      return a.misfit < b.misfit;
    });
    return std::move(result_);
  }

 private:
  double diameter(int ball) const { return 2 * sighting_.balls[ball].sphere.radius; }
  static bool is_bar(const Artefact* a) { return a->kind == ArtefactKind::bar; }
  void say(std::string words) { result_.candidates.push_back(std::move(words)); }

  bool is_free(const BarMatch& m) const {
    return std::ranges::none_of(m.balls, [&](int k) { return used_[k]; });
  }

  void accept(const BarMatch& m) {
    for (int k : m.balls) used_[k] = true;
    result_.found.push_back({m.artefact, m.balls, -1, m.swapped, m.misfit()});
  }

  std::string words(const BarMatch& m) const {
    std::string text = fmt::format("{}:", m.artefact->serial);
    for (const ArtefactDistance& d : m.artefact->distances) {
      const auto index = [&](const std::string& id) {
        return std::ranges::find(m.artefact->balls, id, &ArtefactBall::id) -
               m.artefact->balls.begin();
      };
      const auto from = static_cast<std::size_t>(index(d.from));
      const auto to = static_cast<std::size_t>(index(d.to));
      if (from >= m.balls.size() || to >= m.balls.size()) continue;
      const double length = (sighting_.balls[m.balls[from]].sphere.center -
                             sighting_.balls[m.balls[to]].sphere.center)
                                .norm();
      text += fmt::format(
          " {:.3f} mm for {:.3f} mm ({});", length, d.length.mm, percent(length / d.length.mm));
    }
    for (std::size_t b = 0; b < m.balls.size(); ++b) {
      const double nominal = m.artefact->balls[b].diameter.mm;
      text += nominal > 0 ? fmt::format(" ball {:.3f} mm for {:.3f} mm ({});",
                                        diameter(m.balls[b]),
                                        nominal,
                                        percent(diameter(m.balls[b]) / nominal))
                          : fmt::format(" ball {:.3f} mm;", diameter(m.balls[b]));
    }
    text.pop_back();
    return text;
  }

  /// All matches of all wanted bars of `size` balls with free balls.
  std::vector<BarMatch> matches(std::size_t size, double distance) const {
    std::vector<BarMatch> all;
    for (const Artefact* a : wanted_)
      if (is_bar(a) && a->balls.size() == size)
        for (BarMatch& m : match_bar(sighting_.balls, *a, {distance, kWide, kOneScale}))
          if (is_free(m)) all.push_back(std::move(m));
    return all;
  }

  /// Matches that share a ball or an artefact rival each other; those without a rival, or whose
  /// diameters alone agree, are found.
  void settle(std::vector<BarMatch> all) {
    const auto rivals = [](const BarMatch& a, const BarMatch& b) {
      return a.artefact == b.artefact || std::ranges::any_of(a.balls, [&](int k) {
               return std::ranges::find(b.balls, k) != b.balls.end();
             });
    };
    std::vector<BarMatch> unique;
    std::set<const BarMatch*> in_doubt;
    for (const BarMatch& m : all) {
      const bool agrees = m.diameter_misfit <= tolerance_;
      const bool beaten = std::ranges::any_of(all, [&](const BarMatch& o) {
        return &o != &m && rivals(m, o) && (!agrees || o.diameter_misfit <= tolerance_);
      });
      if (!beaten)
        unique.push_back(m);
      else
        in_doubt.insert(&m);
    }
    for (const BarMatch& m : unique) accept(m);
    for (const BarMatch& m : all)
      if (in_doubt.contains(&m) && is_free(m) && !is_found(m.artefact)) {
        result_.ambiguous = true;
        say("may be bar " + words(m));
      }
  }

  bool is_found(const Artefact* a) const {
    return std::ranges::any_of(result_.found, [&](const Recognised& r) { return r.artefact == a; });
  }

  void find_bars() {
    std::set<std::size_t, std::greater<>> sizes;
    for (const Artefact* a : wanted_)
      if (is_bar(a) && a->balls.size() >= 2) sizes.insert(a->balls.size());
    for (std::size_t size : sizes) settle(matches(size, tolerance_));
    if (!result_.found.empty() || result_.ambiguous) return;
    for (std::size_t size : sizes) {
      std::vector<BarMatch> wide = matches(size, kWide);
      std::vector<BarMatch> scaled = wide;
      std::erase_if(scaled, [](const BarMatch& m) {
        return m.diameter_misfit == 0 || m.scale_spread > kOneScale ||
               m.scale_spread > 0.5 * m.distance_misfit;
      });
      if (scaled.size() == 1) {
        accept(scaled.front());
        say(fmt::format("all lengths of bar {} are off alike: {}",
                        scaled.front().artefact->serial,
                        words(scaled.front())));
        return;
      }
      for (const BarMatch& m : wide) say("not bar " + words(m));
    }
    explain_partial_bars();
  }

  /// Balls that would fit a bar of which the others are missing.
  void explain_partial_bars() {
    std::set<int> balls_of_bars;
    const Artefact* bar = nullptr;
    for (const Artefact* a : wanted_)
      if (is_bar(a))
        for (int k = 0; k < static_cast<int>(sighting_.balls.size()); ++k)
          for (const ArtefactBall& b : a->balls)
            if (b.diameter.mm <= 0 || std::abs(diameter(k) / b.diameter.mm - 1) <= kWide) {
              balls_of_bars.insert(k);
              if (!bar) bar = a;
            }
    if (balls_of_bars.empty()) return;
    if (balls_of_bars.size() == 1) {
      one_ball_of_ = bar;
      one_ball_ = *balls_of_bars.begin();
      return;
    }
    std::string text = fmt::format("{} balls, none at a bar's distance:", balls_of_bars.size());
    for (auto i = balls_of_bars.begin(); i != balls_of_bars.end(); ++i)
      for (auto j = std::next(i); j != balls_of_bars.end(); ++j)
        text += fmt::format(
            " {:.2f} mm,",
            (sighting_.balls[*i].sphere.center - sighting_.balls[*j].sphere.center).norm());
    text.pop_back();
    say(text);
  }

  /// Whether a ball has the size of one on a bar.
  bool fits_a_bar(int k) const {
    return std::ranges::any_of(wanted_, [&](const Artefact* a) {
      return is_bar(a) && std::ranges::any_of(a->balls, [&](const ArtefactBall& b) {
               return b.diameter.mm > 0 && std::abs(diameter(k) / b.diameter.mm - 1) <= tolerance_;
             });
    });
  }

  void find_single_balls() {
    struct Fit {
      const Artefact* artefact;
      int ball;
      double misfit;
    };
    std::vector<Fit> fits;
    for (const Artefact* a : wanted_)
      if (!is_bar(a) && a->kind == ArtefactKind::ball && a->balls.size() == 1)
        for (int k = 0; k < static_cast<int>(sighting_.balls.size()); ++k) {
          const double nominal = a->balls.front().diameter.mm;
          const double misfit = nominal > 0 ? std::abs(diameter(k) / nominal - 1) : 0;
          const bool of_a_bar = misfit > tolerance_ && fits_a_bar(k);
          if (!used_[k] && misfit <= kWide + tolerance_ && !of_a_bar)
            fits.push_back({a, k, misfit});
        }
    std::vector<Fit> close = fits;
    std::erase_if(close, [&](const Fit& f) { return f.misfit > tolerance_; });
    const std::vector<Fit>& chosen = close.empty() ? fits : close;
    for (const Fit& f : chosen) {
      const bool rivalled = std::ranges::any_of(chosen, [&](const Fit& o) {
        return &o != &f && (o.artefact == f.artefact || o.ball == f.ball);
      });
      if (rivalled) {
        // With a bar in the scan a second ball of some size is not what was tested.
        if (result_.found.empty()) result_.ambiguous = true;
        say(fmt::format("may be ball {}: {:.3f} mm for {:.3f} mm ({})",
                        f.artefact->serial,
                        diameter(f.ball),
                        f.artefact->balls.front().diameter.mm,
                        percent(diameter(f.ball) / f.artefact->balls.front().diameter.mm)));
      } else {
        used_[f.ball] = true;
        result_.found.push_back({f.artefact, {f.ball}, -1, false, f.misfit});
        if (f.misfit > tolerance_)
          say(
              fmt::format("the only ball, and ball {} the only one of about its size: {:.3f} mm "
                          "for {:.3f} mm ({})",
                          f.artefact->serial,
                          diameter(f.ball),
                          f.artefact->balls.front().diameter.mm,
                          percent(diameter(f.ball) / f.artefact->balls.front().diameter.mm)));
      }
    }
    if (!one_ball_of_) return;
    const bool is_a_ball =
        std::ranges::any_of(result_.found, [](const Recognised& r) { return r.balls.size() == 1; });
    result_.one_ball = !is_a_ball && !result_.ambiguous;
    if (result_.one_ball)
      say(fmt::format("only one ball ({:.3f} mm); bar {} has {}",
                      diameter(one_ball_),
                      one_ball_of_->serial,
                      one_ball_of_->balls.size()));
  }

  void find_plates() {
    struct Fit {
      const Artefact* artefact;
      int plate;
      double misfit;
    };
    std::vector<Fit> fits;
    for (const Artefact* a : wanted_) {
      if (a->kind != ArtefactKind::plate) continue;
      const double length = std::max(a->length_mm, a->width_mm);
      const double width = std::min(a->length_mm, a->width_mm);
      for (int k = 0; k < static_cast<int>(sighting_.plates.size()); ++k) {
        const PlateSighting& p = sighting_.plates[k];
        const double misfit =
            std::max(std::abs(p.length_mm / length - 1), std::abs(p.width_mm / width - 1));
        if (misfit <= kPlateSide) fits.push_back({a, k, misfit});
      }
    }
    for (const Fit& f : fits) {
      const bool doubtful = std::ranges::any_of(fits, [&](const Fit& o) {
        return &o != &f && (o.artefact == f.artefact || o.plate == f.plate) &&
               o.misfit < kPlateTells * f.misfit + 1e-9;
      });
      if (!doubtful) {
        result_.found.push_back({f.artefact, {}, f.plate, false, f.misfit});
        continue;
      }
      const bool beaten = std::ranges::any_of(fits, [&](const Fit& o) {
        return &o != &f && (o.artefact == f.artefact || o.plate == f.plate) &&
               kPlateTells * o.misfit + 1e-9 < f.misfit;
      });
      if (beaten) continue;
      result_.ambiguous = true;
      const PlateSighting& p = sighting_.plates[f.plate];
      say(fmt::format("may be plate {}: {:.1f} × {:.1f} mm for {:.1f} × {:.1f} mm",
                      f.artefact->serial,
                      p.length_mm,
                      p.width_mm,
                      f.artefact->length_mm,
                      f.artefact->width_mm));
    }
  }

  /// With a name given: a registered artefact that fits better than the named one.
  void explain_others() {
    double misfit = kWide;
    for (const Recognised& r : result_.found) misfit = std::min(misfit, r.misfit);
    for (const Artefact* a : others_)
      if (is_bar(a))
        for (const BarMatch& m : match_bar(sighting_.balls, *a, {tolerance_, kWide, kOneScale}))
          if (m.misfit() < misfit) say("fits better: bar " + words(m));
  }

  const Sighting& sighting_;
  double tolerance_;
  std::vector<const Artefact*> wanted_, others_;
  std::vector<bool> used_;
  const Artefact* one_ball_of_ = nullptr;
  int one_ball_ = -1;
  Recognition result_;
};

}  // namespace

LocateRequest request_for(const std::vector<Artefact>& artefacts) {
  LocateRequest request;
  std::vector<double> diameters;
  for (const Artefact& a : artefacts) {
    if (a.kind == ArtefactKind::plate) request.plates.push_back({a.length_mm, a.width_mm});
    for (const ArtefactBall& b : a.balls) {
      if (b.diameter.mm > 0)
        diameters.push_back(b.diameter.mm);
      else
        request.unknown_balls = true;
    }
  }
  std::ranges::sort(diameters);
  for (double d : diameters)
    if (request.ball_diameters_mm.empty() || d > (1 + kSameSize) * request.ball_diameters_mm.back())
      request.ball_diameters_mm.push_back(d);
  if (artefacts.empty()) request.unknown_balls = request.unknown_plates = true;
  return request;
}

Recognition recognise(const Sighting& sighting,
                      const std::vector<Artefact>& artefacts,
                      const std::string& named,
                      double tolerance) {
  return Recogniser(sighting, artefacts, named, tolerance).run();
}

std::optional<Recognised> recognise_part_of_plate(const Sighting& sighting,
                                                  const std::vector<Artefact>& artefacts) {
  const auto whole = [](double seen, double nominal) {
    return std::abs(seen / nominal - 1) <= kOneSide;
  };
  const auto part = [](double seen, double nominal) {
    return seen > 0.2 * nominal && seen < 0.9 * nominal;
  };
  std::vector<Recognised> all;
  for (const Artefact& a : artefacts) {
    if (a.kind != ArtefactKind::plate) continue;
    const double length = std::max(a.length_mm, a.width_mm);
    const double width = std::min(a.length_mm, a.width_mm);
    for (int k = 0; k < static_cast<int>(sighting.plates.size()); ++k) {
      const PlateSighting& p = sighting.plates[static_cast<std::size_t>(k)];
      if ((whole(p.length_mm, length) && part(p.width_mm, width)) ||
          (whole(p.length_mm, width) && part(p.width_mm, length)))
        all.push_back({&a, {}, k, false, 0});
    }
  }
  if (all.size() != 1) return std::nullopt;
  return all.front();
}

}  // namespace rigproof
