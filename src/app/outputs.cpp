#include "app/outputs.h"

#include <fmt/format.h>

#include "app/interrupt.h"
#include "base/folder.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "record/output_folder.h"
#include "record/pictures.h"
#include "record/tables.h"
#include "seal/seal.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

std::string log_text(const Results& r) {
  std::string out = r.headline + "\n";
  for (const auto& s : r.scans)
    out += fmt::format("{}  {}{}\n",
                       display(s.file),
                       to_string(s.status),
                       s.reason.empty() ? "" : ": " + display(s.reason));
  for (const auto& s : r.session.skipped) out += "no scan: scans/" + display(s) + "\n";
  for (const auto& f : r.findings)
    out +=
        fmt::format("{} {} {} {}\n", to_string(f.severity), f.id, display(f.scan), display(f.text));
  return out + "Next: " + r.next_step + "\n";
}

}  // namespace

fs::path output_target(const Session& session, const std::string& out) {
  const fs::path wanted = out.empty() ? session.folder / "out" : fs::path(out);
  refuse_sealed(wanted);
  return wanted;
}

void clear_unfinished(const fs::path& wanted, const Console& console) {
  const int left = sweep_unfinished(parent_of(wanted));
  if (left > 0)
    console.problem(fmt::format(
        "rigproof: removed what {} interrupted run{} left unfinished", left, left == 1 ? "" : "s"));
}

fs::path write_outputs(const Results& results,
                       const ReportOptions& options,
                       const DocumentOptions& documents_wanted,
                       const fs::path& wanted) {
  OutputFolder out(wanted);
  out.write("results.json", options.results_text);
  out.write("pictures.bin", pictures_file(results, sha256_hex(options.results_text)));
  out.write("values.csv", values_csv(results));
  out.write("positions.csv", positions_csv(results));
  for (const auto& [name, content] : documents(results, options, documents_wanted)) {
    out.write(name, content);
    stop_if_interrupted();
  }
  out.write("log.txt", log_text(results));
  return out.publish();
}

}  // namespace rigproof
