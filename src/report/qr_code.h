#pragma once

#include <string>
#include <vector>

#include "report/canvas.h"

namespace rigproof {

/// Modules of a QR code (ISO/IEC 18004) of plain text, error correction M; row by row, dark = true.
struct QrCode {
  int side = 0;
  std::vector<bool> dark;
};
/// Throws Error(internal) for text that no code can hold (about 2,300 bytes).
QrCode qr_code(const std::string& text);

/// Drawn dark on the ground with the quiet zone of four modules, `size` wide in all.
void draw(Canvas& canvas, const QrCode& code, Point2 corner, double size);

}  // namespace rigproof
