#pragma once

#include <map>
#include <string>

#include "report/language.h"
#include "report/options.h"
#include "report/quantity.h"

namespace rigproof {

/// What every page of one report shares: the results, the words and the way numbers look.
struct ReportContext {
  ReportContext(const Results& results, const ReportOptions& options);

  const Results& results;
  const ReportOptions& options;
  std::filesystem::path assets;
  Language language;
  NumberStyle numbers;

  /// Word or sentence of the catalogue.
  std::string t(std::string_view key) const { return language.text(key); }
  std::string t(std::string_view key, const Words& words) const {
    return language.text(key, words);
  }
  /// Label of a scan's position: its planned id ("P07"), else its number in the session ("S07").
  const std::string& label(const std::string& scan) const;
  /// "far-top-left" in the language of the report; other words as they are.
  std::string place(const std::string& place) const;
  /// What the place column shows: zone, or the words that name the position.
  std::string where(const TestValue& value) const;
  std::string name(const std::string& characteristic) const;
  std::string verdict(Verdict verdict) const;
  static std::string_view glyph(Verdict verdict);
  /// Identity of this document: session id and the first 12 digits of the hash of results.json.
  const std::string& document_id() const { return document_id_; }
  const std::string& results_text() const { return results_text_; }
  const std::string& results_sha256() const { return results_sha256_; }

 private:
  std::map<std::string, std::string> labels_;  // by scan file
  std::string document_id_, results_text_, results_sha256_;
};

}  // namespace rigproof
