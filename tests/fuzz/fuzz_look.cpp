// The whole of `look` (formats are known by their content): any bytes end with a record or an
// error; every value in it is finite.
#include <cmath>
#include <cstdlib>

#include "assess/scan_pass.h"
#include "fuzz/file_for.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace rigproof;
  static const Procedure procedure = load_procedure(find_input("procedures", "single-view"));
  static const std::vector<Artefact> artefacts{
      load_artefact(find_input("artefacts", "ball-30-23"))};
  static const Rig rig;
  if (size < 1) return 0;
  ScanPassInput in;
  in.path = file_for("scan.xyz", data + 1, size - 1);
  in.name = "scan";
  in.options.threads = 1;
  in.artefacts = &artefacts;
  in.procedure = &procedure;
  in.rig = &rig;
  const ScanPass pass = (data[0] & 1) != 0 ? pass_whole(in, ArtefactKind::ball) : pass_scan(in);
  for (const auto& feature : pass.record.features)
    if (!std::isfinite(feature.radius) || !feature.center.allFinite()) std::abort();
  return 0;
}
