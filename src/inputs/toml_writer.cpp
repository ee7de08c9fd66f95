#include "inputs/toml_writer.h"

#include <charconv>

#include <fmt/format.h>

#include "base/number.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

/// The shortest decimal d with back(d) == value, starting from its rounded guess; "" when there is
/// none.
template <class Back>
std::string shortest(double guess, double value, Back back) {
  for (int digits = 1; digits <= 17; ++digits) {
    const std::string text = fmt::format("{:.{}g}", guess, digits);
    double d = 0;
    std::from_chars(text.data(), text.data() + text.size(), d);
    if (back(d) == value) return exact(d);
  }
  return "";
}

}  // namespace

std::string toml_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\')
      out += std::string("\\") + c;
    else if (byte < 0x20 || byte == 0x7F)
      out += fmt::format("\\u{:04X}", byte);
    else
      out += c;
  }
  return out + '"';
}

std::string toml_texts(const std::vector<std::string>& texts) {
  std::string out = "[";
  for (const auto& t : texts) out += (out.size() > 1 ? ", " : "") + toml_text(t);
  return out + "]";
}

std::string toml_numbers(const std::vector<double>& numbers) {
  std::string out = "[";
  for (const double n : numbers) out += (out.size() > 1 ? ", " : "") + exact(n);
  return out + "]";
}

std::string toml_small_length(std::string_view stem, double mm, std::string_view tail) {
  const std::string um = shortest(mm * 1000, mm, [](double d) { return d / 1000; });
  return fmt::format("{}{}{}{} = {}",
                     stem,
                     stem.empty() ? "" : "_",
                     um.empty() ? "mm" : "um",
                     tail,
                     um.empty() ? exact(mm) : um);
}

std::string toml_expansion(std::string_view stem, double per_K) {
  const std::string ppm = shortest(per_K * 1e6, per_K, [](double d) { return d / 1e6; });
  const std::string prefix(stem);
  return ppm.empty() ? prefix + "_per_K = " + exact(per_K) : prefix + "_ppm_K = " + ppm;
}

void TomlWriter::text(std::string_view key, std::string_view value) {
  if (!value.empty()) out_ += fmt::format("{} = {}\n", key, toml_text(value));
}

void TomlWriter::number(std::string_view key, double value) {
  out_ += fmt::format("{} = {}\n", key, exact(value));
}

void TomlWriter::flag(std::string_view key, bool value) {
  out_ += fmt::format("{} = {}\n", key, value);
}

void TomlWriter::date(std::string_view key, const std::optional<Date>& date) {
  if (date) out_ += fmt::format("{} = {}\n", key, to_string(*date));
}

void TomlWriter::line(std::string_view whole) { out_ += std::string(whole) + "\n"; }

void TomlWriter::heading(std::string_view brackets) {
  if (!out_.empty()) out_ += "\n";
  out_ += std::string(brackets) + "\n";
}

}  // namespace rigproof
