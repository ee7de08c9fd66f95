// One kind of document that this program wrote: any bytes are read or refused as unusable data;
// what is read and written again reads back as the same.
#include <cstdlib>

#include "base/error.h"
#include "base/sha256.h"
#include "fuzz/json_mutator.h"
#include "fuzz/small_results.h"
#include "record/history.h"
#include "record/pictures.h"
#include "record/results_json.h"
#include "record/results_reader.h"
#if defined(KIND_manifest)
#include "seal/manifest.h"
#elif defined(KIND_bundle)
#include "seal/bundle.h"
#endif

namespace {

using namespace rigproof;

[[maybe_unused]] void require(bool holds) {
  if (!holds) std::abort();
}

void read(const std::string& text) {
#if defined(KIND_results)
  const std::string again = results_json(results_from_json(text, small_results().session).results);
  require(results_json(results_from_json(again, small_results().session).results) == again);
#elif defined(KIND_pictures)
  Results results = small_results();
  read_pictures(text, "00", results);
  require(pictures_file(results, "00") == text);
#elif defined(KIND_manifest)
  const std::string again = manifest_text(parse_manifest(text));
  require(manifest_text(parse_manifest(again)) == again);
#elif defined(KIND_bundle)
  parse_bundle(text);
#elif defined(KIND_history)
  const HistoryLine line = parse_json_line(text, "line 1");
  require(line.check.has_value() != line.event.has_value());
  const std::string again = line.check ? to_json_line(*line.check) : to_json_line(*line.event);
  const HistoryLine back = parse_json_line(again, "line 1");
  require((back.check ? to_json_line(*back.check) : to_json_line(*back.event)) == again);
  require(line.check ? back.check->id == line.check->id : back.event->id == line.event->id);
#endif
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    read(std::string(reinterpret_cast<const char*>(data), size));
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::data) std::abort();
  }
  return 0;
}
