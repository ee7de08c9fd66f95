#pragma once

#include <memory>
#include <optional>
#include <string>

#include "report/canvas.h"
#include "report/options.h"

namespace rigproof {

struct PdfInfo {
  std::string title, author, subject, keywords, creator;
  std::optional<Date> date;  ///< noon UTC of this day is the creation time; the clock is never read
};

/// A PDF of A4 or Letter pages, unit 1 pt, origin top left. Fonts are embedded as subsets, text can
/// be extracted. Colours are dark enough and different enough to be told apart in grey.
class PdfDocument : public Canvas {
 public:
  PdfDocument(Paper paper, const PdfInfo& info);
  ~PdfDocument() override;

  double width() const;
  double height() const;
  void next_page();
  /// Following drawing is moved by `offset` and scaled; begin/end groups keep it.
  void place(Point2 offset, double scale);

  void begin(const MarkInfo& info) override;
  void end() override;
  void shape(const Shape& shape, const Fill& fill, const Line& line) override;
  void circle(Point2 center, double radius, const Fill& fill, const Line& line) override;
  void text(Point2 at, std::string_view text, const TextStyle& style) override;

  /// Sets a paragraph in a column from its top left corner; returns its height. `draw` false only
  /// measures. At most `max_lines` lines, then "…"; 0 no bound.
  double paragraph(Point2 top_left,
                   double column,
                   std::string_view text,
                   const TextStyle& style,
                   int max_lines = 0,
                   bool draw = true);
  /// Large pale letters across the page, along its diagonal.
  void watermark(std::string_view word);

  /// Ends the document and returns its bytes.
  std::string finish();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace rigproof
