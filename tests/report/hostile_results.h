#pragma once

#include <string>
#include <vector>

#include "assess/results.h"

namespace rigproof {

/// Texts that must come out inert.
inline std::vector<std::string> hostile_texts() {
  return {"</script><script>alert(1)</script>",
          "\"'><img src=x onerror=alert(1)>",
          "<!--<script>",
          "{{verdict_word}} {{{scene}}}",
          "={1+1}|'cmd'",
          "\u202Egpj.exe\u2066",
          "\x1b]0;title\x07\x1b[31m",
          "bad \xff\xc0\xaf utf-8",
          "Bl\u00e4tter \u2013 \u4e2d\u6587 \U0001F680",
          "x" + std::string(10'000, 'W') + "y"};
}

/// The invented session with `text` in every field that a person or a file can fill.
Results hostile_results(const std::string& text);

}  // namespace rigproof
