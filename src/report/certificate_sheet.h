#pragma once

#include "report/certificate_content.h"
#include "report/pdf_document.h"

namespace rigproof {

/// Lays out one certificate on the pages of a document: the first page, then all positions and what
/// stands below them, on as many pages as that takes.
class CertificateSheet {
 public:
  /// `total`: number of pages, known after a first pass.
  CertificateSheet(PdfDocument& pdf,
                   const ReportContext& context,
                   const CertificateContent& content,
                   int total)
      : pdf_(pdf), context_(context), c_(content), total_(total) {}

  /// Returns the number of pages.
  int draw();

 private:
  static constexpr double kMargin = 44, kTop = 62, kBottom = 40, kGap = 5;

  double width() const { return pdf_.width() - 2 * kMargin; }
  double at(double share) const { return kMargin + share * width(); }
  double floor() const { return pdf_.height() - kBottom - 14; }
  void start_page();
  void next_page();
  void make_room(double height);
  void paragraph(std::string_view text, double size, bool bold = false, int lines = 0);
  void heading(const std::string& text);

  // certificate_front.cpp
  void front();
  void characteristics();
  void characteristic_row(const CertificateRow& row);
  void sketch();
  void parties();
  void labelled(
      const LabelledText& item, double column, double x, double size, double& y, int lines);

  // certificate_back.cpp
  void positions();
  void position_head();
  void position_row(const std::vector<std::string>& cells);
  double column_width(std::size_t column) const;
  double rest(bool draw);
  void check(bool draw);
  void block(std::string_view text, bool draw, double column);

  PdfDocument& pdf_;
  const ReportContext& context_;
  const CertificateContent& c_;
  int total_ = 2, page_ = 0;
  double y_ = kTop;
};

}  // namespace rigproof
