#include "report/context.h"

#include <algorithm>
#include <cctype>

#include <fmt/format.h>

#include "base/error.h"
#include "base/sha256.h"
#include "evaluate/characteristic.h"
#include "record/results_json.h"
#include "report/assets.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

bool is_planned_id(std::string_view place) {
  return place.size() >= 2 && place.size() <= 4 && place[0] == 'P' &&
         std::all_of(
             place.begin() + 1, place.end(), [](unsigned char c) { return std::isdigit(c) != 0; });
}

}  // namespace

ReportContext::ReportContext(const Results& r, const ReportOptions& o)
    : results(r),
      options(o),
      assets(assets_folder(o)),
      language(assets, o.language),
      numbers(o.language, o.inch),
      results_text_(o.results_text.empty() ? results_json(r) : o.results_text),
      results_sha256_(sha256_hex(results_text_)) {
  int ordinal = 0;
  for (const ScanRecord& scan : results.scans) {
    ++ordinal;
    labels_[scan.file] = is_planned_id(scan.place) ? scan.place : fmt::format("S{:02}", ordinal);
  }
  document_id_ = plain_text(results.session.id, 60) + " / " + results_sha256_.substr(0, 12);
}

const std::string& ReportContext::label(const std::string& scan) const {
  static const std::string unknown = "–";
  const auto it = labels_.find(scan);
  return it == labels_.end() ? unknown : it->second;
}

std::string ReportContext::place(const std::string& place) const { return language.zone(place); }

std::string ReportContext::where(const TestValue& value) const {
  const bool named = !value.place.empty() && !is_planned_id(value.place);
  return place(named ? value.place : value.zone);
}

std::string ReportContext::name(const std::string& characteristic) const {
  const std::string key = "characteristic." + characteristic;
  return language.has(key) ? language.text(key) : plain_text(characteristic, 60);
}

std::string ReportContext::verdict(Verdict verdict) const {
  return language.text("verdict." + to_string(verdict));
}

std::string_view ReportContext::glyph(Verdict verdict) {
  switch (verdict) {
    case Verdict::within:
      return "✓";
    case Verdict::outside:
      return "✕";
    case Verdict::undecided:
      return "≈";
    case Verdict::invalid:
      return "?";
  }
  throw Error(ErrorKind::internal, "report: unknown verdict");
}

}  // namespace rigproof
