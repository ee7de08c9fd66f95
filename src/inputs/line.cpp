#include "inputs/line.h"

#include "base/input_file.h"

namespace rigproof {

void check_line(const std::string& what, const std::string& text, ErrorKind kind) {
  if (text.size() <= kLongestLine && display(text) == text) return;
  throw Error(
      kind,
      what + " \"" + display(text.substr(0, kLongestLine)) + "\": is no line of plain text",
      "Write it in UTF-8, on one line of at most " + std::to_string(kLongestLine) + " bytes.");
}

}  // namespace rigproof
