#include "locate/cell_moments.h"

namespace rigproof {

void CellMoments::add_moved(const CellMoments& o, const Vec3& t) {
  // The binomials of q' = q + t, summed.
  const double a = t.x(), b = t.y(), c = t.z(), tt = t.squaredNorm();
  const double trace = o.xx + o.yy + o.zz, tq = t.dot(o.q);
  const Vec3 mt(o.xx * a + o.xy * b + o.xz * c,
                o.xy * a + o.yy * b + o.yz * c,
                o.xz * a + o.yz * b + o.zz * c);

  n += o.n;
  q += o.q + o.n * t;
  xx += o.xx + 2 * a * o.q.x() + o.n * a * a;
  xy += o.xy + a * o.q.y() + b * o.q.x() + o.n * a * b;
  xz += o.xz + a * o.q.z() + c * o.q.x() + o.n * a * c;
  yy += o.yy + 2 * b * o.q.y() + o.n * b * b;
  yz += o.yz + b * o.q.z() + c * o.q.y() + o.n * b * c;
  zz += o.zz + 2 * c * o.q.z() + o.n * c * c;
  q2q += o.q2q + (trace + 2 * tq + o.n * tt) * t + 2 * mt + tt * o.q;
  q4 += o.q4 + 4 * t.dot(o.q2q) + 4 * t.dot(mt) + 2 * tt * trace + 4 * tt * tq + o.n * tt * tt;
}

CellMoments CellMoments::scaled(double scale) const {
  const double s2 = scale * scale;
  CellMoments m = *this;
  m.q *= scale;
  for (double* v : {&m.xx, &m.xy, &m.xz, &m.yy, &m.yz, &m.zz}) *v *= s2;
  m.q2q *= s2 * scale;
  m.q4 *= s2 * s2;
  return m;
}

}  // namespace rigproof
