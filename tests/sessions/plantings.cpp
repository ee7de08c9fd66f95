#include "sessions/planting.h"

namespace rigproof::planted {

std::vector<Planting> condition_plantings();
std::vector<Planting> processing_plantings();
std::vector<Planting> placement_plantings();
std::vector<Planting> paper_plantings();
std::vector<Planting> elsewhere_plantings();

const std::vector<Planting>& plantings() {
  static const std::vector<Planting> all = [] {
    std::vector<Planting> out;
    for (const auto& part : {condition_plantings(),
                             processing_plantings(),
                             placement_plantings(),
                             paper_plantings(),
                             elsewhere_plantings()})
      out.insert(out.end(), part.begin(), part.end());
    return out;
  }();
  return all;
}

}  // namespace rigproof::planted
