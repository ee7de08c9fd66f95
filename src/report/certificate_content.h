#pragma once

#include <string>
#include <utility>
#include <vector>

#include "report/bar_plot.h"
#include "report/context.h"

namespace rigproof {

using LabelledText = std::pair<std::string, std::string>;

struct CertificateRow {
  std::string name, limit, value, U, place, verdict;
  LimitBar bar;
};

/// Every word of a certificate, in order; PDF and HTML only lay it out.
struct CertificateContent {
  std::string title, headline, sentence, id, level, watermark;
  std::string tested, not_tested;
  std::vector<CertificateRow> rows;
  std::string rule, uncertainty;
  std::vector<LabelledText> parties;
  std::vector<std::string> position_columns;
  std::vector<std::vector<std::string>> positions;
  std::vector<std::string> artefacts;
  std::vector<LabelledText> conditions;
  std::vector<std::string> repeats;  ///< withdrawn, superseded and rejected scans with reasons
  std::vector<std::string> notes;    ///< not covered, reproduction, accreditation
  std::vector<std::string> check;    ///< how to check the document
  std::vector<std::string> cautions;
  std::string qr;
};

CertificateContent certificate_content(const ReportContext& context);

}  // namespace rigproof
