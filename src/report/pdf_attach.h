#pragma once

#include <string>

namespace rigproof {

struct Attachment {
  std::string name, media_type, description, content;
  std::string date;  ///< as PDF writes dates: "D:20260314120000Z"
};

/// The PDF with one file attached as associated data (ISO 32000-2, 7.11.3 and 14.13), its language
/// named, its title shown, and an identifier that depends on the content alone.
/// The header keeps to C++17: under clang qpdf's own headers do not compile as C++20.
/// Throws Error(internal) when the PDF cannot be read back.
std::string attach(const std::string& pdf, const Attachment& file, const std::string& language);

}  // namespace rigproof
