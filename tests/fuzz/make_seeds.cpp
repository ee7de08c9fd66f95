// Writes what the fuzzers of documents begin with: make_seeds FOLDER. Made anew for every run, so
// that the seeds are always documents of today.
#include <filesystem>

#include "base/atomic_file.h"
#include "fuzz/small_results.h"
#include "record/history.h"
#include "record/made_history.h"
#include "record/pictures.h"
#include "record/results_json.h"
#include "seal/manifest.h"

int main(int argc, char** argv) {
  using namespace rigproof;
  if (argc != 2) return 64;
  const std::filesystem::path folder = argv[1];
  const auto put = [&](const char* target, const char* name, const std::string& bytes) {
    std::filesystem::create_directories(folder / target);
    write_atomically(folder / target / name, bytes);
  };
  put("results", "results.json", results_json(small_results()));
  put("pictures", "pictures.bin", pictures_file(small_results(), "00"));
  put("history", "check", to_json_line(made_check("R1", 3, 0.001)));
  HistoryEvent event;
  event.rig = "R1";
  event.day = "2026-03-14";
  event.kind = event_kinds().front();
  put("history", "event", to_json_line(event));
  Manifest manifest;
  manifest.stage = "session";
  manifest.files = {{"session.toml", 10, std::string(64, '0')}, {"scans/a.ply", 1, "ab"}};
  put("manifest", "manifest.json", manifest_text(manifest));
  put("bundle",
      "bundle.json",
      R"({"schema": "rigproof-bundle-1", "cut_outs": [{"scan": "scans/a.ply", "whole": false,
          "bytes": 9, "sha256": "00"}], "sealed_as": {"results.json": "out/results.json"}})");
}
