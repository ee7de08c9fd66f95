#include <algorithm>

#include "report/certificate_sheet.h"
#include "report/qr_code.h"

namespace rigproof {
namespace {

constexpr double kSmall = 7.2, kRow = 10.6;

}  // namespace

void CertificateSheet::position_head() {
  double x = kMargin;
  for (std::size_t i = 0; i < c_.position_columns.size(); ++i) {
    const double w = column_width(i);
    const bool number = i >= 3;
    pdf_.text_within({number ? x + w - 4 : x, y_ + 8},
                     w - 4,
                     c_.position_columns[i],
                     {kSmall, Ink::quiet, number ? Anchor::end : Anchor::start});
    x += w;
  }
  y_ += 11;
  pdf_.line({kMargin, y_}, {kMargin + width(), y_}, {Ink::axis, 0.6});
}

double CertificateSheet::column_width(std::size_t i) const {
  const double names[] = {44, 105, 105};
  if (i < 3) return names[i];
  return (width() - 254) /
         static_cast<double>(std::max<std::size_t>(c_.position_columns.size() - 3, 1));
}

void CertificateSheet::position_row(const std::vector<std::string>& cells) {
  double x = kMargin;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const double w = column_width(i);
    const bool number = i >= 3;
    pdf_.text_within({number ? x + w - 4 : x, y_ + 8},
                     w - 4,
                     cells[i],
                     {kSmall + 0.3, Ink::text, number ? Anchor::end : Anchor::start, i == 0});
    x += w;
  }
  y_ += kRow;
  pdf_.line({kMargin, y_}, {kMargin + width(), y_}, {Ink::grid, 0.5});
}

// All rows, then what stands below them: on their page, or where it finds no room, on the next.
void CertificateSheet::positions() {
  heading(context_.t("section.positions"));
  position_head();
  for (const std::vector<std::string>& row : c_.positions) {
    if (y_ + kRow > floor()) {
      next_page();
      heading(context_.t("section.positions"));
      position_head();
    }
    position_row(row);
  }
  if (y_ + rest(false) > floor()) next_page();
}

void CertificateSheet::block(std::string_view text, bool draw, double column) {
  const double h = pdf_.paragraph({kMargin, y_}, column, text, {kSmall}, 0, false);
  if (draw) {
    make_room(h);
    pdf_.paragraph({kMargin, y_}, column, text, {kSmall});
  }
  y_ += h + 2;
}

// The second page below its positions. Returns its height; draws only when asked.
double CertificateSheet::rest(bool draw) {
  const double start = y_;
  const auto title = [&](const char* key) {
    if (draw) {
      make_room(2 * 13);
      pdf_.text({kMargin, y_ + 10}, context_.t(key), {8, Ink::text, Anchor::start, true});
    }
    y_ += 13;
  };
  title("artefacts.title");
  for (const std::string& line : c_.artefacts) block(line, draw, width());
  title("certificate.item");
  for (const auto& [label, text] : c_.conditions) block(label + ": " + text, draw, width());
  title("certificate.repeats");
  for (const std::string& line : c_.repeats) block(line, draw, width());
  title("certificate.notes");
  for (const std::string& line : c_.notes) block(line, draw, width());
  title("cautions.title");
  std::string cautions;
  for (const std::string& line : c_.cautions) cautions += (cautions.empty() ? "" : " ") + line;
  block(cautions, draw, width());
  check(draw);
  const double height = y_ - start;
  if (!draw) y_ = start;
  return height;
}

void CertificateSheet::check(bool draw) {
  constexpr double qr = 78;
  if (draw) make_room(13 + qr - 4 + 12);
  if (draw)
    pdf_.text(
        {kMargin, y_ + 10}, context_.t("certificate.check"), {8, Ink::text, Anchor::start, true});
  y_ += 13;
  const double top = y_;
  for (const std::string& line : c_.check) block(line, draw, width() - qr - 10);
  if (draw) rigproof::draw(pdf_, qr_code(c_.qr), {kMargin + width() - qr, top - 6}, qr);
  y_ = std::max(y_, top + qr - 4);
  if (draw)
    pdf_.text(
        {pdf_.width() / 2, y_ + 8}, context_.t("certificate.end"), {8, Ink::text, Anchor::middle});
  y_ += 12;
}

}  // namespace rigproof
