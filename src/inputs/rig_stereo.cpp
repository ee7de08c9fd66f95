#include <cmath>

#include "inputs/rig_parts.h"

namespace rigproof {
namespace {

constexpr double kFarthest_mm = 100'000;

std::array<int, 2> image(const TomlTable& t) {
  const auto px = t.numbers("image_px", {16, 100'000, "pixels", false}, 2, 2);
  if (px[0] != std::floor(px[0]) || px[1] != std::floor(px[1]))
    t.fail_at("image_px", "\"image_px\" must be whole numbers", "Width and height of the image.");
  return {static_cast<int>(px[0]), static_cast<int>(px[1])};
}

double board_alpha(const TomlTable& t) {
  const auto board = t.maybe_table("board");
  if (!board) return 0;
  const double alpha = board->expansion("alpha", 0);
  board->finish();
  return alpha;
}

Stereo exact_stereo(const TomlTable& t) {
  Stereo s;
  s.tape = t.flag("tape", false);
  s.baseline_mm = t.number("baseline_mm", Range::positive(kFarthest_mm, "mm"));
  s.focal_px = t.number("focal_px", {10, 1e6, "pixels", false});
  s.image_px = image(t);
  const bool toe_in = t.has("toe_in_deg");
  if (toe_in && t.has("aim_mm"))
    t.fail_at("toe_in_deg", "aim_mm and toe_in_deg say the same thing twice", "Keep one of them.");
  if (toe_in) {
    const auto deg = t.numbers("toe_in_deg", {-60, 60, "degrees", false}, 2, 2);
    s.toe_in_deg = {deg[0], deg[1]};
  } else {
    s.aim_mm = t.number("aim_mm", Range::positive(kFarthest_mm, "mm"));
  }
  s.board_alpha_per_K = board_alpha(t);
  t.finish();
  return s;
}

/// Focal length in pixels = focal length of the lens / pixel pitch.
Stereo tape_stereo(const TomlTable& t) {
  Stereo s;
  s.tape = true;
  s.baseline_mm = t.number("baseline_mm", Range::positive(kFarthest_mm, "mm"));
  s.aim_mm = t.number("distance_mm", Range::positive(kFarthest_mm, "mm"));
  const double lens_mm = t.number("lens_mm", Range::positive(2000, "mm"));
  s.focal_px = lens_mm / t.number("pixel_um", {0.1, 1000, "µm", false}) * 1000;
  s.image_px = image(t);
  s.board_alpha_per_K = board_alpha(t);
  t.finish();
  return s;
}

}  // namespace

void read_stereo(const TomlTable& t, Rig& rig) {
  const auto stereo = t.maybe_table("stereo"), tape = t.maybe_table("tape");
  if (stereo && tape)
    t.fail_at("tape", "[stereo] and [tape] say the same thing twice", "Keep the more exact one.");
  if (stereo) rig.stereo = exact_stereo(*stereo);
  if (tape) rig.stereo = tape_stereo(*tape);
}

void write_stereo(TomlWriter& w, const Rig& rig) {
  if (!rig.stereo) return;
  const Stereo& s = *rig.stereo;
  w.heading("[stereo]");
  if (s.tape) w.flag("tape", true);
  w.number("baseline_mm", s.baseline_mm);
  w.number("focal_px", s.focal_px);
  w.line("image_px = [" + std::to_string(s.image_px[0]) + ", " + std::to_string(s.image_px[1]) +
         "]");
  if (s.aim_mm > 0)
    w.number("aim_mm", s.aim_mm);
  else
    w.line("toe_in_deg = " + toml_numbers({s.toe_in_deg[0], s.toe_in_deg[1]}));
  if (s.board_alpha_per_K != 0)
    w.line("board = { " + toml_expansion("alpha", s.board_alpha_per_K) + " }");
}

}  // namespace rigproof
