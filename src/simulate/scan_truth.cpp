#include "simulate/scan_truth.h"

#include <algorithm>

#include "simulate/expect.h"

namespace rigproof {
namespace {

double allowance_of(const Procedure& p, const char* characteristic) {
  const auto at = p.characteristics.find(characteristic);
  return at == p.characteristics.end() ? 0 : at->second.allowance;
}

class Maker {
 public:
  Maker(const SessionSetup& s,
        std::size_t scan,
        const MeasuredScan& measured,
        const std::string& file)
      : s_(s), body_(s.standing(scan)), pose_(s.placements[scan].pose), measured_(measured) {
    celsius_ = s.celsius(scan);
    truth_.scan.file = file;
    truth_.scan.artefact = body_.certificate.serial;
    truth_.scan.place = s.placements[scan].place;
    if (body_.certificate.kind == ArtefactKind::plate)
      plate();
    else
      balls();
  }

  const ScanTruth& truth() const { return truth_; }

 private:
  const Procedure& procedure() const { return s_.scenario.procedure; }
  bool wanted(const char* id) const { return procedure().characteristics.contains(id); }

  // As the evaluation corrects: by the stated mean temperature and the certified expansion.
  double reference(double mm) const {
    const Artefact& a = body_.certificate;
    const double C = s_.scenario.artefact_C + 0.5 * s_.plan.value("not-soaked");
    return mm * (1 + a.alpha_per_K * (C - a.reference_C));
  }

  void add(const char* id,
           double truth,
           double expected,
           const std::string& ball = {},
           const std::string& from = {},
           const std::string& to = {}) {
    if (wanted(id))
      truth_.values.push_back({truth_.scan.file, ball, from, to, id, truth, expected});
  }

  void balls() {
    const double g = body_.growth(celsius_);
    const std::array<Vec3, 2> cameras = s_.scenario.rig.stereo->camera_centers();
    for (std::size_t i = 0; i < body_.centers.size(); ++i) {
      const ArtefactBall& listed = body_.certificate.balls[i];
      const Sphere real{pose_ * (g * body_.centers[i]), g * body_.radii[i]};
      const ExpectedBall e = expect_ball(measured_,
                                         static_cast<int>(i),
                                         real,
                                         cameras,
                                         procedure().zones,
                                         allowance_of(procedure(), "probing_form"));
      TrueFeature f{
          "sphere", listed.id, real.center, e.ok ? e.sphere.center : real.center, real.radius};
      f.expected_radius = e.ok ? e.sphere.radius : real.radius;
      f.form = e.true_form;
      f.expected_form = e.form;
      truth_.scan.features.push_back(f);
      truth_.shapes.push_back({true, {f.expected_center, f.expected_radius}, {}});
      if (!e.ok) continue;
      const double certified = reference(listed.diameter.mm);
      for (const char* id : {"probing_size", "size_all"})
        add(id, 2 * real.radius - certified, 2 * f.expected_radius - certified, listed.id);
      add("probing_form", f.form, f.expected_form, listed.id);
    }
    for (const ArtefactDistance& d : body_.certificate.distances) distance(d);
  }

  void distance(const ArtefactDistance& d) {
    const auto feature = [&](const std::string& id) {
      return *std::ranges::find(truth_.scan.features, id, &TrueFeature::ball);
    };
    const TrueFeature a = feature(d.from), b = feature(d.to);
    const double certified = reference(d.length.mm);
    for (const char* id : {"sphere_spacing", "center_distance"})
      add(id,
          (a.center - b.center).norm() - certified,
          (a.expected_center - b.expected_center).norm() - certified,
          "",
          d.from,
          d.to);
  }

  void plate() {
    const Artefact& a = body_.certificate;
    const ExpectedPlate e =
        expect_plate(measured_, 0, pose_, a, s_.volume(), allowance_of(procedure(), "flatness"));
    TrueFeature f{"plane", "", pose_.translation, e.ok ? e.plane.point : pose_.translation, 0};
    f.normal = -pose_.rotation.col(2);
    f.form = e.true_flatness;
    f.expected_form = e.flatness;
    truth_.scan.features.push_back(f);
    truth_.shapes.push_back({false, {}, e.ok ? e.plane : Plane{pose_.translation, f.normal}});
    if (e.ok) add("flatness", f.form, f.expected_form);
  }

  const SessionSetup& s_;
  const ArtefactBody& body_;
  const RigidTransform& pose_;
  const MeasuredScan& measured_;
  double celsius_ = 20;
  ScanTruth truth_;
};

}  // namespace

ScanTruth scan_truth(const SessionSetup& setup,
                     std::size_t scan,
                     const MeasuredScan& measured,
                     const std::string& file) {
  return Maker(setup, scan, measured, file).truth();
}

}  // namespace rigproof
