#include "report/scene.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Geometry>

#include "report/plain_text.h"

namespace rigproof {
namespace {

int badness(Verdict v) {
  switch (v) {
    case Verdict::invalid:
      return 0;
    case Verdict::within:
      return 1;
    case Verdict::undecided:
      return 2;
    case Verdict::outside:
      return 3;
  }
  return 0;
}

void add_values(PlacedPiece& piece, const Results& results) {
  double largest_signed = -1;
  for (const auto& c : results.characteristics) {
    for (const auto& v : c.values) {
      if (v.value.scan != piece.scan || !v.decision) continue;
      piece.ratio = std::max(piece.ratio.value_or(0), v.decision->ratio);
      piece.verdict = worse(piece.verdict, v.decision->verdict);
      if (v.value.signed_value && v.decision->ratio > largest_signed) {
        largest_signed = v.decision->ratio;
        piece.signed_ratio = std::copysign(v.decision->ratio, v.value.value);
      }
    }
  }
}

void add_features(PlacedPiece& piece, const ScanRecord& scan) {
  Vec3 sum = Vec3::Zero();
  for (const FeatureRecord& f : scan.features) {
    sum += f.center;
    if (f.sphere) {
      piece.balls.push_back(f.center);
      piece.radius = f.radius;
      continue;
    }
    const auto [u, v] = plate_axes(f);
    const Vec3 a = u * f.length_mm / 2, b = v * f.width_mm / 2;
    piece.corners = {f.center - a - b, f.center + a - b, f.center + a + b, f.center - a + b};
  }
  piece.center = sum / static_cast<double>(scan.features.size());
  piece.kind = !piece.corners.empty()   ? ArtefactKind::plate
               : piece.balls.size() > 1 ? ArtefactKind::bar
                                        : ArtefactKind::ball;
}

}  // namespace

Verdict worse(Verdict a, Verdict b) { return badness(a) < badness(b) ? b : a; }

std::pair<Vec3, Vec3> plate_axes(const FeatureRecord& plate) {
  const Vec3 n = plate.normal.normalized();
  const Vec3 seed = std::abs(n.x()) < 0.9 ? Vec3::UnitX() : Vec3::UnitY();
  const Vec3 e1 = (seed - n * n.dot(seed)).normalized(), e2 = n.cross(e1);
  double aa = 0, ab = 0, bb = 0;
  for (const auto& p : plate.picture) {
    const Vec3 d = Vec3(p[0], p[1], p[2]) - plate.center;
    const double a = d.dot(e1), b = d.dot(e2);
    aa += a * a;
    ab += a * b;
    bb += b * b;
  }
  const double angle = ab == 0 && aa >= bb ? 0 : 0.5 * std::atan2(2 * ab, aa - bb);
  Vec3 u = std::cos(angle) * e1 + std::sin(angle) * e2;
  if (u.x() < 0) u = -u;
  Vec3 v = n.cross(u);
  if (v.y() < 0) v = -v;
  return {u, v};
}

std::vector<PlacedPiece> placed_pieces(const ReportContext& context) {
  std::vector<PlacedPiece> pieces;
  for (const ScanRecord& scan : context.results.scans) {
    if (scan.features.empty()) continue;
    PlacedPiece piece;
    piece.scan = scan.file;
    piece.label = context.label(scan.file);
    piece.counts = scan.status == ScanStatus::used;
    add_features(piece, scan);
    if (piece.counts) add_values(piece, context.results);
    piece.words = piece.label + " · " + plain_text(scan.artefact, 60) + " · " +
                  context.place(plain_text(scan.zone, 60));
    if (piece.ratio)
      piece.words +=
          " · " + context.t("of-limit", {{"p", context.numbers.percent(*piece.ratio, 0)}});
    pieces.push_back(std::move(piece));
  }
  return pieces;
}

Volume shown_volume(const ReportContext& context, const std::vector<PlacedPiece>& pieces) {
  if (const Field* field = context.results.session.field()) return field->volume;
  Box box;
  for (const PlacedPiece& p : pieces) {
    for (const Vec3& b : p.balls) box.add(b);
    for (const Vec3& c : p.corners) box.add(c);
  }
  if (box.empty()) return Volume::box(100, 100, 100, 500);
  const Vec3 margin = Vec3::Constant(20);
  const Vec3 lo = box.lo - margin, hi = box.hi + margin;
  Volume v;
  v.near_mm = lo.z();
  v.far_mm = hi.z();
  v.near_width = v.far_width = 2 * std::max(std::abs(lo.x()), std::abs(hi.x()));
  v.near_height = v.far_height = 2 * std::max(std::abs(lo.y()), std::abs(hi.y()));
  return v;
}

}  // namespace rigproof
