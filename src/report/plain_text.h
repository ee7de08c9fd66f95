#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace rigproof {

/// Text from outside made fit to be shown: invalid UTF-8 becomes U+FFFD, control characters a
/// space, and marks that turn the direction of writing (or hide) are left out, so that a name
/// cannot pretend to be another. Longer than `limit` characters: the middle is replaced by "…".
std::string plain_text(std::string_view raw, std::size_t limit = 200);

/// & < > " ' as entities; safe in element content and in quoted attributes.
std::string escape_html(std::string_view text);

/// JSON string body for a script element: quotes, backslashes, control characters and < > &
/// escaped, so that no text can close the element.
std::string escape_json(std::string_view text);

/// Number of characters (code points) of valid UTF-8.
std::size_t characters(std::string_view text);

/// Standard base64 (RFC 4648, section 4).
std::string base64(std::string_view bytes);

}  // namespace rigproof
