#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "report/certificate.h"
#include "report/certificate_content.h"
#include "report/pdf_attach.h"
#include "report/pdf_document.h"
#include "report/plain_text.h"
#include "report/qr_code.h"
#include "report/statements.h"
#include "report/text_measure.h"
#include "report/volume_sketch.h"

namespace rigproof {
namespace {

constexpr double kMargin = 44, kTop = 62, kBottom = 40, kSmall = 7.2, kRow = 10.6, kGap = 5;

// Lays out one certificate. `total`: number of pages, known after a first pass.
class Sheet {
 public:
  Sheet(PdfDocument& pdf, const ReportContext& context, const CertificateContent& c, int total)
      : pdf_(pdf), context_(context), c_(c), total_(total) {}

  int draw() {
    start_page();
    front();
    next_page();
    positions();
    rest(true);
    return page_;
  }

 private:
  double width() const { return pdf_.width() - 2 * kMargin; }
  double floor() const { return pdf_.height() - kBottom - 14; }

  void start_page() {
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
    pdf_.text({pdf_.width() - kMargin, y},
              context_.t("certificate.page",
                         {{"n", std::to_string(page_)}, {"N", std::to_string(total_)}}),
              {8, Ink::quiet, Anchor::end});
    y_ = kTop;
  }

  void next_page() {
    pdf_.next_page();
    start_page();
  }

  void paragraph(std::string_view text, double size, bool bold = false, int lines = 0) {
    y_ +=
        pdf_.paragraph({kMargin, y_}, width(), text, {size, Ink::text, Anchor::start, bold}, lines);
    y_ += kGap;
  }

  void heading(const std::string& text) {
    y_ += 3;
    pdf_.text({kMargin, y_ + 9}, text, {9, Ink::text, Anchor::start, true});
    y_ += 14;
  }

  void labelled(
      const LabelledText& item, double column, double x, double size, double& y, int lines) {
    constexpr double label = 86;
    const double a = pdf_.paragraph({x, y}, label - 6, item.first, {size, Ink::quiet}, 2);
    const double b = pdf_.paragraph({x + label, y}, column - label, item.second, {size}, lines);
    y += std::max(a, b) + 2;
  }

  void front() {
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

  void characteristics() {
    if (c_.rows.empty()) return;
    const double w = width(), unit = w / 100;
    const double columns[] = {0, 33 * unit, 41 * unit, 48 * unit, 50 * unit, 67 * unit, 81 * unit};
    const std::string small = " " + context_.numbers.small_unit();
    const TextStyle head{7.5, Ink::quiet}, right{7.5, Ink::quiet, Anchor::end};
    y_ += 12;
    pdf_.text({kMargin, y_}, context_.t("col.characteristic"), head);
    pdf_.text({kMargin + columns[1], y_}, context_.t("col.limit") + small, right);
    pdf_.text({kMargin + columns[2], y_}, context_.t("col.value") + small, right);
    pdf_.text({kMargin + columns[3], y_}, context_.t("col.U") + small, right);
    pdf_.text({kMargin + columns[4], y_}, context_.t("col.place"), head);
    pdf_.text({kMargin + columns[6], y_}, context_.t("col.verdict"), head);
    y_ += 4;
    for (const CertificateRow& r : c_.rows) {
      pdf_.line({kMargin, y_}, {kMargin + w, y_}, {Ink::grid, 0.6});
      const double base = y_ + 13;
      const double name = pdf_.paragraph(
          {kMargin, y_ + 4}, 25 * unit, r.name, {8.5, Ink::text, Anchor::start, true}, 2);
      pdf_.text({kMargin + columns[1], base}, r.limit, {8.5, Ink::text, Anchor::end});
      pdf_.text({kMargin + columns[2], base}, r.value, {8.5, Ink::text, Anchor::end, true});
      pdf_.text({kMargin + columns[3], base}, r.U, {8.5, Ink::text, Anchor::end});
      const double place =
          pdf_.paragraph({kMargin + columns[4], y_ + 4.5}, 16 * unit, r.place, {8}, 2);
      draw_limit_bar(pdf_, {kMargin + columns[5], y_ + 5}, 13 * unit, 10, r.bar);
      pdf_.text_within(
          {kMargin + columns[6], base}, 19 * unit, r.verdict, {8, Ink::text, Anchor::start, true});
      y_ += std::max({20.0, name + 8, place + 8});
    }
    pdf_.line({kMargin, y_}, {kMargin + w, y_}, {Ink::axis, 0.6});
    y_ += 4;
    paragraph(context_.t("certificate.bar-key"), 7, false, 2);
  }

  void sketch() {
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
    rigproof::draw(
        pdf_, {View::top, volume, pieces, context_.t("view.top")}, column, top[1], scale);
    pdf_.place({0, 0}, 1);
    y_ += std::max(front[1], top[1]) + kGap;
  }

  void parties() {
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

  void position_head() {
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

  double column_width(std::size_t i) const {
    const double names[] = {44, 105, 105};
    if (i < 3) return names[i];
    return (width() - 254) /
           static_cast<double>(std::max<std::size_t>(c_.position_columns.size() - 3, 1));
  }

  void position_row(const std::vector<std::string>& cells) {
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
  void positions() {
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

  // Below its page's floor nothing is drawn: there a new page begins.
  void make_room(double height) {
    if (y_ + height > floor()) next_page();
  }

  void block(std::string_view text, bool draw, double column) {
    const double h = pdf_.paragraph({kMargin, y_}, column, text, {kSmall}, 0, false);
    if (draw) {
      make_room(h);
      pdf_.paragraph({kMargin, y_}, column, text, {kSmall});
    }
    y_ += h + 2;
  }

  // The second page below its positions. Returns its height; draws only when asked.
  double rest(bool draw) {
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

  void check(bool draw) {
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
      pdf_.text({pdf_.width() / 2, y_ + 8},
                context_.t("certificate.end"),
                {8, Ink::text, Anchor::middle});
    y_ += 12;
  }

  PdfDocument& pdf_;
  const ReportContext& context_;
  const CertificateContent& c_;
  int total_ = 2, page_ = 0;
  double y_ = kTop;
};

PdfInfo info(const ReportContext& context, const CertificateContent& content) {
  PdfInfo info;
  info.title = content.title + " – " + plain_text(context.results.session.id, 80);
  info.author = context.options.issuer.name;
  info.subject = content.headline;
  info.keywords = context.results_sha256();
  info.creator = "rigproof " + context.options.software_version;
  info.date = context.options.seal && context.options.seal->date ? context.options.seal->date
                                                                 : context.results.session.date;
  return info;
}

/// Noon of the test day; a fixed day where none is known, so that bytes depend on the content
/// alone.
std::string pdf_date(const std::optional<Date>& date) {
  const Date d =
      date.value_or(Date{std::chrono::year{2000}, std::chrono::month{1}, std::chrono::day{1}});
  return fmt::format("D:{:04}{:02}{:02}120000Z",
                     static_cast<int>(d.year()),
                     static_cast<unsigned>(d.month()),
                     static_cast<unsigned>(d.day()));
}

}  // namespace

std::string certificate_pdf(const Results& results, const ReportOptions& options) {
  const ReportContext context(results, options);
  const CertificateContent content = certificate_content(context);
  PdfDocument first_pass(options.paper, {});
  const int total = Sheet(first_pass, context, content, 2).draw();
  PdfDocument pdf(options.paper, info(context, content));
  Sheet(pdf, context, content, total).draw();
  Attachment attachment;
  attachment.name = "results.json";
  attachment.media_type = "application/json";
  attachment.description = "results.json of " + plain_text(results.session.id, 80);
  attachment.content = context.results_text();
  attachment.date = pdf_date(results.session.date);
  return attach(pdf.finish(), attachment, context.language.code());
}

}  // namespace rigproof
