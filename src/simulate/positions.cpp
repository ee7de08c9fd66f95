#include "simulate/positions.h"

namespace rigproof {
namespace {

using Triple = std::array<double, 3>;

struct Spot {
  Triple center, direction;
};

const std::vector<Triple>& ball_spots() {
  static const std::vector<Triple> spots{{0, 0, 0},
                                         {-0.8, -0.8, -0.8},
                                         {0.8, 0.8, -0.8},
                                         {0.8, -0.8, 0.8},
                                         {-0.8, 0.8, 0.8},
                                         {0.8, -0.8, -0.8},
                                         {-0.8, 0.8, -0.8},
                                         {-0.8, -0.8, 0.8},
                                         {0.8, 0.8, 0.8},
                                         {0, 0, 0.8}};
  return spots;
}

const std::vector<Spot>& bar_spots() {
  static const std::vector<Spot> spots{{{0, 0, 0}, {0, -0.6, 1}},
                                       {{0, -0.6, -0.6}, {1, 0, 0}},
                                       {{-0.6, 0, 0.3}, {0, 1, 0}},
                                       {{0, 0, -0.3}, {1, 1, 0}},
                                       {{0, 0, 0.3}, {1, -1, 0}},
                                       {{0, 0, 0}, {1, 1, 1}},
                                       {{0, 0, 0}, {1, -1, 1}},
                                       {{0, 0.6, 0.6}, {1, 0, 0}},
                                       {{0.5, 0, 0}, {0, 0.6, 1}}};
  return spots;
}

const std::vector<Spot>& plate_spots() {
  static const std::vector<Spot> spots{{{0, 0, -0.6}, {0, 0, -1}},
                                       {{0, 0, 0.6}, {0, 0, -1}},
                                       {{0, 0, 0}, {0.4, 0, -1}},
                                       {{0, 0, 0}, {-0.4, 0, -1}},
                                       {{0, 0, 0}, {0, 0.4, -1}},
                                       {{0, 0, 0}, {0, -0.4, -1}}};
  return spots;
}

std::string number(std::size_t n) { return (n < 10 ? "P0" : "P") + std::to_string(n); }

}  // namespace

std::vector<PlannedPosition> usual_positions(const Demand& demand) {
  std::vector<PlannedPosition> out;
  const auto add =
      [&](ArtefactKind kind, const Triple& center, const std::optional<Triple>& direction) {
        PlannedPosition p;
        p.id = number(out.size() + 1);
        p.kind = kind;
        p.center = center;
        p.direction = direction;
        out.push_back(p);
      };
  const auto count = [](int wanted, std::size_t known) {
    return std::min(static_cast<std::size_t>(wanted < 0 ? 0 : wanted), known);
  };
  for (std::size_t i = 0; i < count(demand.bar, bar_spots().size()); ++i)
    add(ArtefactKind::bar, bar_spots()[i].center, bar_spots()[i].direction);
  for (std::size_t i = 0; i < count(demand.ball, ball_spots().size()); ++i)
    add(ArtefactKind::ball, ball_spots()[i], std::nullopt);
  for (std::size_t i = 0; i < count(demand.plate, plate_spots().size()); ++i)
    add(ArtefactKind::plate, plate_spots()[i].center, plate_spots()[i].direction);
  if (demand.closing_repeat && demand.bar > 0) {
    PlannedPosition again = out.front();
    again.id = number(out.size() + 1);
    again.closing = true;
    again.repeats = out.front().id;
    out.push_back(again);
  }
  return out;
}

}  // namespace rigproof
