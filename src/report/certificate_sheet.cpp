#include "report/certificate_sheet.h"

namespace rigproof {

int CertificateSheet::draw() {
  start_page();
  front();
  next_page();
  positions();
  rest(true);
  return page_;
}

void CertificateSheet::start_page() {
  ++page_;
  pdf_.place({0, 0}, 1);
  if (!c_.watermark.empty()) pdf_.watermark(c_.watermark);
  pdf_.text({kMargin, 34}, context_.t("product"), {9, Ink::text, Anchor::start, true});
  pdf_.text_within(
      {pdf_.width() - kMargin, 34}, width() - 60, c_.level, {8, Ink::text, Anchor::end});
  pdf_.line({kMargin, 40}, {pdf_.width() - kMargin, 40}, {Ink::text, 1});
  const double y = pdf_.height() - kBottom + 8;
  pdf_.line({kMargin, y - 11}, {pdf_.width() - kMargin, y - 11}, {Ink::axis, 0.6});
  pdf_.text_within({kMargin, y}, width() - 90, c_.id, {8, Ink::quiet});
  pdf_.text(
      {pdf_.width() - kMargin, y},
      context_.t("certificate.page", {{"n", std::to_string(page_)}, {"N", std::to_string(total_)}}),
      {8, Ink::quiet, Anchor::end});
  y_ = kTop;
}

void CertificateSheet::next_page() {
  pdf_.next_page();
  start_page();
}

// Below its page's floor nothing is drawn: there a new page begins.
void CertificateSheet::make_room(double height) {
  if (y_ + height > floor()) next_page();
}

void CertificateSheet::paragraph(std::string_view text, double size, bool bold, int lines) {
  y_ += pdf_.paragraph({kMargin, y_}, width(), text, {size, Ink::text, Anchor::start, bold}, lines);
  y_ += kGap;
}

void CertificateSheet::heading(const std::string& text) {
  y_ += 3;
  pdf_.text({kMargin, y_ + 9}, text, {9, Ink::text, Anchor::start, true});
  y_ += 14;
}

}  // namespace rigproof
