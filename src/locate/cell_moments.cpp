#include "locate/cell_moments.h"

namespace rigproof {

void CellMoments::add_moved(const CellMoments& o, const Vec3& t, double scale) {
  // The binomials of q' = s q + t, summed.
  const double s2 = scale * scale;
  const Vec3 first = scale * o.q;
  const double a = t.x(), b = t.y(), c = t.z(), tt = t.squaredNorm();
  const double mxx = s2 * o.xx, mxy = s2 * o.xy, mxz = s2 * o.xz;
  const double myy = s2 * o.yy, myz = s2 * o.yz, mzz = s2 * o.zz;
  const double trace = mxx + myy + mzz, tq = t.dot(first);
  const Vec3 mt(
      mxx * a + mxy * b + mxz * c, mxy * a + myy * b + myz * c, mxz * a + myz * b + mzz * c);
  const Vec3 third = s2 * scale * o.q2q;

  n += o.n;
  q += first + o.n * t;
  xx += mxx + 2 * a * first.x() + o.n * a * a;
  xy += mxy + a * first.y() + b * first.x() + o.n * a * b;
  xz += mxz + a * first.z() + c * first.x() + o.n * a * c;
  yy += myy + 2 * b * first.y() + o.n * b * b;
  yz += myz + b * first.z() + c * first.y() + o.n * b * c;
  zz += mzz + 2 * c * first.z() + o.n * c * c;
  q2q += third + (trace + 2 * tq + o.n * tt) * t + 2 * mt + tt * first;
  q4 += s2 * s2 * o.q4 + 4 * t.dot(third) + 4 * t.dot(mt) + 2 * tt * trace + 4 * tt * tq +
        o.n * tt * tt;
}

}  // namespace rigproof
