#include <fmt/format.h>

#include "report/certificate.h"
#include "report/certificate_sheet.h"
#include "report/pdf_attach.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

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
  const int total = CertificateSheet(first_pass, context, content, 2).draw();
  PdfDocument pdf(options.paper, info(context, content));
  CertificateSheet(pdf, context, content, total).draw();
  Attachment attachment;
  attachment.name = "results.json";
  attachment.media_type = "application/json";
  attachment.description = "results.json of " + plain_text(results.session.id, 80);
  attachment.content = context.results_text();
  attachment.date = pdf_date(results.session.date);
  return attach(pdf.finish(), attachment, context.language.code());
}

}  // namespace rigproof
