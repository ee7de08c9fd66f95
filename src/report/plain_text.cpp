#include "report/plain_text.h"

#include <array>
#include <cstdint>

#include <fmt/format.h>

namespace rigproof {
namespace {

constexpr char32_t kReplacement = 0xFFFD;

// One code point from `text` at `at`, which moves on. Overlong forms, surrogates and values above
// U+10FFFF are invalid (RFC 3629) and consume one byte.
char32_t next_code_point(std::string_view text, std::size_t& at) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char lead = byte(at);
  const int more = lead < 0x80             ? 0
                   : (lead & 0xE0) == 0xC0 ? 1
                   : (lead & 0xF0) == 0xE0 ? 2
                   : (lead & 0xF8) == 0xF0 ? 3
                                           : -1;
  if (more <= 0) {
    ++at;
    return more == 0 ? lead : kReplacement;
  }
  char32_t value = lead & (0x3F >> more);
  for (int k = 1; k <= more; ++k) {
    if (at + k >= text.size() || (byte(at + k) & 0xC0) != 0x80) {
      ++at;
      return kReplacement;
    }
    value = value << 6 | (byte(at + k) & 0x3F);
  }
  constexpr std::array<char32_t, 4> least{0, 0x80, 0x800, 0x10000};
  const bool surrogate = value >= 0xD800 && value <= 0xDFFF;
  if (value < least[more] || surrogate || value > 0x10FFFF) {
    ++at;
    return kReplacement;
  }
  at += more + 1;
  return value;
}

bool hidden_or_turning(char32_t c) {
  return c == 0x00AD || c == 0x061C || (c >= 0x200B && c <= 0x200F) ||
         (c >= 0x202A && c <= 0x202E) || (c >= 0x2060 && c <= 0x206F) || c == 0xFEFF ||
         (c >= 0xFFF9 && c <= 0xFFFB) || (c >= 0xE0000 && c <= 0xE0FFF);
}

bool control(char32_t c) {
  return c < 0x20 || (c >= 0x7F && c <= 0x9F) || c == 0x2028 || c == 0x2029;
}

void append(std::string& out, char32_t c) {
  const auto put = [&](char32_t byte) { out.push_back(static_cast<char>(byte)); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0 | c >> 6);
    put(0x80 | (c & 0x3F));
  } else if (c < 0x10000) {
    put(0xE0 | c >> 12);
    put(0x80 | (c >> 6 & 0x3F));
    put(0x80 | (c & 0x3F));
  } else {
    put(0xF0 | c >> 18);
    put(0x80 | (c >> 12 & 0x3F));
    put(0x80 | (c >> 6 & 0x3F));
    put(0x80 | (c & 0x3F));
  }
}

std::u32string visible_code_points(std::string_view raw) {
  std::u32string seen;
  for (std::size_t at = 0; at < raw.size();) {
    const char32_t c = next_code_point(raw, at);
    if (control(c))
      seen.push_back(U' ');
    else if (!hidden_or_turning(c))
      seen.push_back(c);
  }
  return seen;
}

}  // namespace

std::string plain_text(std::string_view raw, std::size_t limit) {
  std::u32string seen = visible_code_points(raw);
  if (seen.size() > limit && limit >= 3) {
    const std::size_t head = (limit - 1) * 2 / 3, tail = limit - 1 - head;
    seen.replace(head, seen.size() - tail - head, 1, U'…');
  }
  std::string out;
  out.reserve(seen.size());
  for (const char32_t c : seen) append(out, c);
  return out;
}

std::string escape_html(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string escape_json(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\')
      (out += '\\') += c;
    else if (byte < 0x20 || c == '<' || c == '>' || c == '&')
      out += fmt::format("\\u{:04x}", byte);
    else
      out += c;
  }
  return out;
}

std::size_t characters(std::string_view text) {
  std::size_t n = 0;
  for (const char c : text) n += (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  return n;
}

std::string base64(std::string_view bytes) {
  static constexpr std::string_view digits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    std::uint32_t group = 0;
    for (std::size_t k = 0; k < 3; ++k)
      group = group << 8 | (i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0u);
    for (std::size_t k = 0; k < 4; ++k)
      out += i + k > bytes.size() ? '=' : digits[group >> (18 - 6 * k) & 63];
  }
  return out;
}

}  // namespace rigproof
