// Writes what the fuzzers of documents begin with: make_seeds FOLDER. Made anew for every run, so
// that the seeds are always documents of today.
#include <filesystem>

#include "base/atomic_file.h"
#include "fuzz/small_results.h"
#include "record/history.h"
#include "record/made_history.h"
#include "record/pictures.h"
#include "record/results_json.h"

int main(int argc, char** argv) {
  using namespace rigproof;
  if (argc != 2) return 64;
  const std::filesystem::path folder = argv[1];
  const auto put = [&](const char* target, const char* name, const std::string& bytes) {
    std::filesystem::create_directories(folder / target);
    write_atomically(folder / target / name, bytes);
  };
  for (const char* target : {"results", "drawn"})
    put(target, "results.json", results_json(small_results()));
  put("pictures", "pictures.bin", pictures_file(small_results(), "00"));
  put("history", "check", to_json_line(made_check("R1", 3, 0.001)));
  HistoryEvent event;
  event.rig = "R1";
  event.day = "2026-03-14";
  event.kind = event_kinds().front();
  event.recorded = "2026-03-14T12:00:00Z";
  put("history", "event", to_json_line(event));
  put("manifest",
      "manifest.json",
      R"({"schema": "rigproof-manifest-1", "stage": "session", "session": "s", "authorised_by": "A",
          "sealed": "2026-03-14T12:00:00Z", "key": "00", "program": {"version": "0", "build": ""},
          "results": "out/results.json", "drawing": "", "files": [
          {"path": "scans/a.ply", "bytes": 1, "sha256": "ab"}]})");
  put("bundle",
      "bundle.json",
      R"({"schema": "rigproof-bundle-1", "cut_outs": [{"scan": "scans/a.ply", "whole": false,
          "bytes": 9, "sha256": "00"}], "sealed_as": {"results.json": "out/results.json"}})");
}
