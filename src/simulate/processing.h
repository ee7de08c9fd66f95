#pragma once

#include <filesystem>
#include <vector>

#include "simulate/fault_plan.h"
#include "simulate/point_cloud.h"

namespace rigproof {

/// The shape that a feature's points lie on, as the faulty rig sees it.
struct MeasuredShape {
  bool is_ball = true;
  Sphere sphere;
  Plane plane;

  double deviation(const Vec3& p) const {
    return is_ball ? sphere.deviation(p) : plane.deviation(p);
  }
  Vec3 onto(const Vec3& p) const;
};

/// What the rig's software does to a scan before it leaves: the processing faults of the plan, then
/// the export. `scan` is its index in the session.
void export_scan(const MeasuredScan& measured,
                 const std::vector<MeasuredShape>& shapes,
                 const Scenario& scenario,
                 const FaultPlan& plan,
                 int scan,
                 const Chance& chance,
                 const std::filesystem::path& file);

}  // namespace rigproof
