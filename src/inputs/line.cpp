#include "inputs/line.h"

#include "base/input_file.h"

namespace rigproof {

void check_line(const std::string& what, const std::string& text, ErrorKind kind) {
  if (text.size() > kLongestLine)
    throw Error(kind,
                what + " of " + std::to_string(text.size()) + " bytes: at most " +
                    std::to_string(kLongestLine) + " are kept",
                "Shorten it.");
  if (const std::string shown = display(text); shown != text)
    throw Error(kind,
                what + " \"" + shown + "\": is no line of plain text",
                "Write it in UTF-8, on one line, without characters that are not seen (shown as "
                "\\x..).");
}

}  // namespace rigproof
