#include "report/qr_code.h"

#include <memory>

#include <qrencode.h>

#include "base/error.h"

namespace rigproof {

QrCode qr_code(const std::string& text) {
  const std::unique_ptr<QRcode, decltype(&QRcode_free)> code(
      QRcode_encodeString8bit(text.c_str(), 0, QR_ECLEVEL_M), QRcode_free);
  if (!code) throw Error(ErrorKind::internal, "report: text does not fit into a QR code");
  QrCode out;
  out.side = code->width;
  for (int i = 0; i < out.side * out.side; ++i) out.dark.push_back(code->data[i] & 1);
  return out;
}

void draw(Canvas& canvas, const QrCode& code, Point2 corner, double size) {
  const double module = size / (code.side + 8);
  canvas.rect(corner, size, size, {Ink::none, Rgb{255, 255, 255}});
  Shape runs;
  for (int row = 0; row < code.side; ++row) {
    const auto dark = code.dark.begin() + std::ptrdiff_t{row} * code.side;
    for (int column = 0; column < code.side;) {
      int end = column;
      while (end < code.side && dark[end]) ++end;
      if (end > column) {
        const double x0 = corner[0] + (4 + column) * module, x1 = corner[0] + (4 + end) * module;
        const double y0 = corner[1] + (4 + row) * module, y1 = y0 + module;
        runs.push_back({{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, true});
      }
      column = end + 1;
    }
  }
  canvas.shape(runs, {Ink::none, Rgb{0, 0, 0}}, {});
}

}  // namespace rigproof
