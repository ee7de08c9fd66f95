#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "inputs/artefact.h"
#include "inputs/toml_reader.h"

namespace rigproof {

class Console;

/// Somebody who answers questions, or nobody.
class Asker {
 public:
  virtual ~Asker() = default;
  virtual bool present() const = 0;
  /// One line, without its end. Throws Error(usage) when there are no more answers.
  virtual std::string answer(const std::string& prompt) = 0;
  virtual void say(const std::string& text) = 0;
};

/// Asks on stderr and listens on stdin, when both are terminals. Ctrl-C at a question ends the run.
class TerminalAsker : public Asker {
 public:
  explicit TerminalAsker(const Console& console) : console_(console) {}
  bool present() const override;
  std::string answer(const std::string& prompt) override;
  void say(const std::string& text) override;

 private:
  const Console& console_;
  std::string read_;
};

struct Question {
  std::string option;                   ///< that answers it too, "--serial"
  std::string words;                    ///< what is asked for
  std::optional<std::string> standard;  ///< the answer of someone who just presses Enter
  bool silent = false;                  ///< never asked: the option or the standard answer
};

/// Answers from options, then from a person, then from the standard answers. What is wrong in an
/// option ends the run with an error that names it; a person is told and asked again.
class Questions {
 public:
  using Check = std::function<void(const std::string&)>;  ///< throws Error for what cannot be

  Questions(Asker& asker, bool standard_only)
      : asker_(asker), asking_(asker.present() && !standard_only) {}
  bool asking() const { return asking_; }
  void say(const std::string& text) { asker_.say(text); }

  /// Throws Error(usage) naming the option when nothing answers. "-" from a person is "".
  std::string text(const Question& q,
                   const std::optional<std::string>& given,
                   const Check& check = {});
  std::string label(const Question& q, const std::optional<std::string>& given);
  std::string word(const Question& q,
                   const std::optional<std::string>& given,
                   const std::vector<std::string>& known);
  double number(const Question& q, const std::optional<std::string>& given, const Range& range);
  /// "" is no number.
  std::optional<double> maybe_number(const Question& q,
                                     const std::optional<std::string>& given,
                                     const Range& range);
  std::optional<Date> maybe_date(const Question& q, const std::optional<std::string>& given);

 private:
  Asker& asker_;
  bool asking_, explained_ = false;
};

/// A decimal number as people type it; a decimal comma is refused because it could be two numbers.
/// Throws Error(usage).
double typed_number(const std::string& text, const Range& range);
/// Numbers with spaces, "/" or ";" between them.
std::vector<double> typed_numbers(const std::string& text, std::size_t least, std::size_t most);
/// "300x200": `count` positive lengths in mm.
std::vector<double> typed_size(const std::string& text, std::size_t count);
/// What can name a file and stand in a list: not empty, no slash, no control characters, one line.
void check_label(const std::string& text);
/// A name without what file names had better not hold: "bar-12 A" → "bar-12_A".
std::string plain_name(const std::string& name);
/// The day on this computer's clock and in its time zone.
Date today();

}  // namespace rigproof
