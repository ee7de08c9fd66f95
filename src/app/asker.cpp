#include "app/asker.h"

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <ctime>

#include <fmt/format.h>
#include <poll.h>
#include <unistd.h>

#include "app/console.h"
#include "app/interrupt.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"
#include "inputs/near_name.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

constexpr std::size_t kLongestAnswer = 4096;

[[noreturn]] void refuse(const std::string& what, const std::string& next_step) {
  throw Error(ErrorKind::usage, what, next_step);
}

bool is_gap(char c) { return c == ' ' || c == '/' || c == ';' || c == '\t'; }

std::string trimmed(const std::string& text) {
  const auto from = text.find_first_not_of(" \t\r"), to = text.find_last_not_of(" \t\r");
  return from == std::string::npos ? "" : text.substr(from, to - from + 1);
}

/// What one line of a file can say; arrow keys and the like are not answers.
void check_line(const std::string& text) {
  if (text.size() > kLongestAnswer / 4) refuse("the text is too long", "Write it shorter.");
  if (display(text) != text)
    refuse("\"" + display(text) + "\" holds what cannot be printed", "Type it again.");
}

/// Waits with a look at Ctrl-C now and then: a signal does not end a read on a terminal.
void wait_for_input() {
  for (;;) {
    stop_if_interrupted();
    pollfd in{STDIN_FILENO, POLLIN, 0};
    const int ready = ::poll(&in, 1, 200);
    if (ready > 0) return;
    if (ready < 0 && errno != EINTR)
      throw Error(ErrorKind::io, "the terminal cannot be read", "Give the answers as options.");
  }
}

}  // namespace

bool TerminalAsker::present() const { return console_.interactive(); }

void TerminalAsker::say(const std::string& text) {
  if (present())
    console_.problem(safe(text));  // part of the questions, whatever --quiet says
  else
    console_.talk(safe(text));
}

std::string TerminalAsker::answer(const std::string& prompt) {
  std::fputs(safe(prompt).c_str(), stderr);
  std::fflush(stderr);
  for (;;) {
    if (const auto end = read_.find('\n'); end != std::string::npos) {
      const std::string line = read_.substr(0, end);
      read_.erase(0, end + 1);
      return line;
    }
    wait_for_input();
    char part[512];
    const ssize_t n = ::read(STDIN_FILENO, part, sizeof part);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0 || read_.size() > kLongestAnswer) {
      std::fputs("\n", stderr);
      refuse("the answers ended before the questions", "Nothing was written; run it again.");
    }
    read_.append(part, static_cast<std::size_t>(n));
  }
}

std::string Questions::text(const Question& q,
                            const std::optional<std::string>& given,
                            const Check& check) {
  if (given) {
    try {
      check_line(*given);
      if (check) check(*given);
    } catch (const Error& error) {
      throw Error(error.kind(), q.option + ": " + error.what(), error.next_step());
    }
    return *given;
  }
  if (!asking_ || q.silent) {
    if (!q.standard)
      refuse(q.option + " is missing: " + q.words,
             "Give it as an option, or run the command in a terminal and be asked.");
    if (check) check(*q.standard);
    return *q.standard;
  }
  if (!explained_) asker_.say("Enter takes the answer in brackets, - leaves it out.");
  explained_ = true;
  std::string prompt = q.words + " (" + q.option + ")";
  if (q.standard) prompt += " [" + (q.standard->empty() ? "none" : *q.standard) + "]";
  for (;;) {
    std::string answer = trimmed(asker_.answer(prompt + ": "));
    if (answer.empty() && q.standard) answer = *q.standard;
    if (answer == "-") answer.clear();
    try {
      if (answer.empty() && !q.standard) refuse("an answer is needed", "");
      check_line(answer);
      if (check) check(answer);
      return answer;
    } catch (const Error& error) {
      const std::string& next = error.next_step();
      asker_.say(fmt::format("  {}{}", error.what(), next.empty() ? "" : ". " + next));
    }
  }
}

std::string Questions::label(const Question& q, const std::optional<std::string>& given) {
  return text(q, given, check_label);
}

std::string Questions::word(const Question& q,
                            const std::optional<std::string>& given,
                            const std::vector<std::string>& known) {
  return text(q, given, [&](const std::string& word) {
    if (std::ranges::find(known, word) == known.end())
      refuse("\"" + word + "\" is not known here", did_you_mean(word, known));
  });
}

double Questions::number(const Question& q,
                         const std::optional<std::string>& given,
                         const Range& range) {
  return typed_number(text(q, given, [&](const std::string& t) { typed_number(t, range); }), range);
}

std::optional<double> Questions::maybe_number(const Question& q,
                                              const std::optional<std::string>& given,
                                              const Range& range) {
  const std::string answer = text(q, given, [&](const std::string& t) {
    if (!t.empty()) typed_number(t, range);
  });
  if (answer.empty()) return std::nullopt;
  return typed_number(answer, range);
}

std::optional<Date> Questions::maybe_date(const Question& q,
                                          const std::optional<std::string>& given) {
  const std::string answer = text(q, given, [](const std::string& t) {
    if (!t.empty()) parse_date(t);
  });
  if (answer.empty()) return std::nullopt;
  return parse_date(answer);
}

double typed_number(const std::string& text, const Range& range) {
  const std::string word = trimmed(text);
  const char* first = word.data() + (word.starts_with('+') ? 1 : 0);
  const char* last = word.data() + word.size();
  double value = 0;
  const auto [end, ec] = std::from_chars(first, last, value);
  if (ec != std::errc() || end != last || !std::isfinite(value))
    refuse("\"" + text + "\" is not a number",
           word.find(',') != std::string::npos ? "Write a decimal point, not a comma."
                                               : "Write a number such as 30.0012.");
  if (!range.holds(value))
    refuse(fmt::format("{} is not {} {} and at most {} {}",
                       exact(value),
                       range.above ? "more than" : "at least",
                       exact(range.least),
                       exact(range.most),
                       range.unit),
           "Look at the unit: " + (range.unit.empty() ? "a plain number" : range.unit) + ".");
  return value;
}

std::vector<double> typed_numbers(const std::string& text, std::size_t least, std::size_t most) {
  std::vector<double> out;
  for (std::size_t i = 0; i < text.size();) {
    if (is_gap(text[i])) {
      ++i;
      continue;
    }
    const std::size_t from = i;
    while (i < text.size() && !is_gap(text[i])) ++i;
    out.push_back(typed_number(text.substr(from, i - from), {-1e9, 1e9, ""}));
  }
  if (out.size() < least || out.size() > most)
    refuse(
        fmt::format("\"{}\" holds {} numbers", text, out.size()),
        least == most
            ? fmt::format("There must be {}, with / or spaces between them.", least)
            : fmt::format("There must be {} to {}, with / or spaces between them.", least, most));
  return out;
}

std::vector<double> typed_size(const std::string& text, std::size_t count) {
  std::string spaced = text;
  for (char& c : spaced)
    if (c == 'x' || c == 'X') c = ' ';
  const auto sizes = typed_numbers(spaced, count, count);
  for (const double mm : sizes)
    if (!(mm > 0)) refuse("\"" + text + "\" is not a size", "Every length must be more than zero.");
  return sizes;
}

void check_label(const std::string& text) {
  if (text.empty()) refuse("an answer is needed", "");
  if (text.find('/') != std::string::npos)
    refuse("\"" + text + "\" holds a slash", "It names a file: write it without one.");
  if (text.size() > 200) refuse("more than 200 bytes", "Write it shorter.");
  if (display(text) != text)
    refuse("\"" + display(text) + "\" holds what cannot be printed", "Use letters and digits.");
}

std::string plain_name(const std::string& name) {
  std::string out = name;
  for (char& c : out) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       c == '-' || c == '.' || static_cast<unsigned char>(c) >= 0x80;
    if (!plain) c = '_';
  }
  if (out.starts_with('.')) out[0] = '_';
  return out;
}

Date today() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  ::localtime_r(&now, &local);
  return std::chrono::year(local.tm_year + 1900) / std::chrono::month(local.tm_mon + 1U) /
         std::chrono::day(static_cast<unsigned>(local.tm_mday));
}

}  // namespace rigproof
