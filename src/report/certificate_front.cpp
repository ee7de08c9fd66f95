#include <algorithm>

#include "report/certificate_sheet.h"
#include "report/volume_sketch.h"

namespace rigproof {
namespace {

// Columns of the table as shares of its width: numbers end there, the rest begins.
constexpr double kLimit = 0.35, kValue = 0.43, kU = 0.50, kPlace = 0.52, kBar = 0.68,
                 kVerdict = 0.81;

}  // namespace

void CertificateSheet::front() {
  paragraph(c_.title, 19, true, 2);
  paragraph(c_.headline, 12, true, 2);
  y_ += 2;
  paragraph(c_.sentence, 12, false, 4);
  y_ += 2;
  paragraph(context_.t("certificate.tested") + ": " + c_.tested, 9, false, 3);
  paragraph(context_.t("not-tested") + ": " + c_.not_tested, 9, false, 3);
  characteristics();
  sketch();
  paragraph(c_.rule, 8.5, false, 4);
  paragraph(c_.uncertainty, 8.5, false, 4);
  parties();
}

void CertificateSheet::characteristics() {
  if (c_.rows.empty()) return;
  const std::string small = " " + context_.numbers.small_unit();
  const auto head = [&](double share, const std::string& text, Anchor anchor = Anchor::start) {
    pdf_.text({at(share), y_}, text, {7.5, Ink::quiet, anchor});
  };
  y_ += 12;
  head(0, context_.t("col.characteristic"));
  head(kLimit, context_.t("col.limit") + small, Anchor::end);
  head(kValue, context_.t("col.value") + small, Anchor::end);
  head(kU, context_.t("col.U") + small, Anchor::end);
  head(kPlace, context_.t("col.place"));
  head(kVerdict, context_.t("col.verdict"));
  y_ += 4;
  for (const CertificateRow& row : c_.rows) characteristic_row(row);
  pdf_.line({kMargin, y_}, {kMargin + width(), y_}, {Ink::axis, 0.6});
  y_ += 4;
  paragraph(context_.t("certificate.bar-key"), 7, false, 2);
}

// Names and places may take two lines.
void CertificateSheet::characteristic_row(const CertificateRow& r) {
  const double base = y_ + 13, end = at(1) - 2;
  pdf_.line({kMargin, y_}, {kMargin + width(), y_}, {Ink::grid, 0.6});
  const double name = pdf_.paragraph(
      {at(0), y_ + 4}, at(kLimit) - at(0) - 28, r.name, {8.2, Ink::text, Anchor::start, true}, 2);
  pdf_.text({at(kLimit), base}, r.limit, {8.5, Ink::text, Anchor::end});
  pdf_.text({at(kValue), base}, r.value, {8.5, Ink::text, Anchor::end, true});
  pdf_.text({at(kU), base}, r.U, {8.5, Ink::text, Anchor::end});
  const double place =
      pdf_.paragraph({at(kPlace), y_ + 4.5}, at(kBar) - at(kPlace) - 6, r.place, {8}, 2);
  draw_limit_bar(pdf_, {at(kBar), y_ + 5}, at(kVerdict) - at(kBar) - 8, 10, r.bar);
  pdf_.text_within(
      {at(kVerdict), base}, end - at(kVerdict), r.verdict, {8, Ink::text, Anchor::start, true});
  y_ += std::max({20.0, name + 8, place + 8});
}

void CertificateSheet::sketch() {
  const std::vector<PlacedPiece> pieces = placed_pieces(context_);
  if (pieces.empty()) return;
  const Volume volume = shown_volume(context_, pieces);
  const Volume room = sketch_room(volume, pieces);
  const double column = width() / 2 - 8, height = 190;
  const double scale = sketch_scale(room, column, height);
  const Point2 front = sketch_size(room, View::front, scale);
  const Point2 top = sketch_size(room, View::top, scale);
  pdf_.place({kMargin, y_}, 1);
  rigproof::draw(
      pdf_, {View::front, volume, pieces, context_.t("view.front")}, column, front[1], scale);
  pdf_.place({kMargin + column + 16, y_}, 1);
  rigproof::draw(pdf_, {View::top, volume, pieces, context_.t("view.top")}, column, top[1], scale);
  pdf_.place({0, 0}, 1);
  y_ += std::max(front[1], top[1]) + kGap;
}

void CertificateSheet::parties() {
  y_ += 4;
  const double column = width() / 2 - 8;
  double left = y_, right = y_;
  for (std::size_t i = 0; i < c_.parties.size(); ++i) {
    double& y = i % 2 ? right : left;
    labelled(c_.parties[i], column, kMargin + (i % 2) * (column + 16), 8.5, y, 2);
    if (i % 2) left = right = std::max(left, right);
  }
  y_ = std::max(left, right);
}

void CertificateSheet::labelled(
    const LabelledText& item, double column, double x, double size, double& y, int lines) {
  constexpr double label = 86;
  const double a = pdf_.paragraph({x, y}, label - 6, item.first, {size, Ink::quiet}, 2);
  const double b = pdf_.paragraph({x + label, y}, column - label, item.second, {size}, lines);
  y += std::max(a, b) + 2;
}

}  // namespace rigproof
