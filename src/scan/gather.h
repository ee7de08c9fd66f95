#pragma once

#include <span>
#include <vector>

#include "scan/survey.h"

namespace rigproof {

/// Every finite point of each region in file order; reads only runs whose box meets a region's.
std::vector<Points> gather_regions(const PointTable& table,
                                   const Delivery& delivery,
                                   const Survey& survey,
                                   std::span<const Region> regions,
                                   int threads);

/// Every finite point in file order.
Points gather_all(const PointTable& table,
                  const Delivery& delivery,
                  const Survey& survey,
                  int threads);

}  // namespace rigproof
