#include <algorithm>
#include <cstring>
#include <limits>

#include <unistd.h>

#include "scan/source.h"
#include "scan/text.h"

namespace rigproof {
namespace {

constexpr std::string_view kReadable =
    "Export PLY, PCD, STL, OBJ, OFF or a text file of x y z, each also gzip-compressed.";

/// No control characters but white space, in the first 64 KiB.
bool is_text(std::string_view head) {
  return std::ranges::none_of(head.substr(0, 64u << 10), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return (byte < 0x20 && (byte < '\t' || byte > '\r')) || byte == 0x7F;
  });
}

bool is_binary_stl(const SourceInput& input) {
  if (input.head.size() < 84) return false;
  std::uint32_t triangles = 0;
  std::memcpy(&triangles, input.head.data() + 80, 4);
  return 84 + 50 * std::uint64_t{triangles} == input.bytes->size();
}

/// First words of the lines of the head that have one and are no '#' comment, at most `most`.
std::vector<std::string_view> first_words(std::string_view head, std::size_t most) {
  std::vector<std::string_view> out;
  HeaderLines lines(head);
  for (std::string_view line; out.size() < most && lines.next(line);)
    if (const auto word = next_word(line); !word.empty() && word.front() != '#')
      out.push_back(word);
  return out;
}

bool is_pcd(std::string_view head) {
  HeaderLines lines(head.substr(0, 4096));
  std::string_view line;
  if (lines.next(line) && line.starts_with("# .PCD")) return true;
  const auto first = first_words(head.substr(0, 4096), 2);
  return first.size() == 2 && ((first[0] == "VERSION" && first[1] == "FIELDS") ||
                               (first[0] == "FIELDS" && first[1] == "SIZE") ||
                               (first[0] == "VERSION" && first[1] == "COLUMNS"));
}

bool is_ascii_stl(const SourceInput& input, std::string_view word) {
  if (lower(word) != "solid") return false;
  const std::string start = lower(std::string_view(input.head).substr(0, 4096));
  return input.extension == ".stl" || start.find("facet") != std::string::npos;
}

/// OFF, COFF, NOFF, STOFF, CNOFF, …; the 4 and n of higher dimensions too, to be refused by name.
bool is_off(std::string_view word) {
  if (!word.ends_with("OFF")) return false;
  word.remove_suffix(3);
  for (const std::string_view part : {"ST", "C", "N", "4", "n"})
    if (word.starts_with(part)) word.remove_prefix(part.size());
  return word.empty();
}

bool is_obj(const SourceInput& input) {
  static constexpr std::string_view kKeys[] = {
      "v", "vn", "vt", "vp", "f", "l", "p", "o", "g", "s", "mtllib", "usemtl"};
  const auto first = first_words(std::string_view(input.head).substr(0, 64u << 10), 20);
  if (input.extension == ".obj" && !first.empty()) return true;
  return std::ranges::find(first, "v") != first.end() &&
         std::ranges::all_of(first, [](std::string_view w) {
           return std::ranges::find(kKeys, w) != std::end(kKeys);
         });
}

}  // namespace

Source read_source(const SourceInput& input) {
  const std::string_view head = input.head;
  if (head.starts_with("ply") &&
      (head.size() == 3 || head[3] == '\n' || head[3] == '\r' || is_blank(head[3])))
    return read_ply(input);
  if (is_pcd(head)) return read_pcd(input);
  if (is_binary_stl(input)) return read_stl_binary(input);
  if (head.starts_with("\xFF\xFE") || head.starts_with("\xFE\xFF"))
    refuse(input, "is UTF-16 text", "Save it as plain text (ASCII or UTF-8).");
  if (!is_text(head)) {
    if (input.extension == ".stl") return read_stl_binary(input);
    refuse(input, "is in no format that is read here", std::string(kReadable));
  }
  const auto first = first_words(head.substr(0, 64u << 10), 1);
  const std::string_view word = first.empty() ? std::string_view{} : first.front();
  if (is_ascii_stl(input, word)) return read_stl_ascii(input);
  if (is_off(word) || input.extension == ".off") return read_off(input);
  if (is_obj(input)) return read_obj(input);
  return read_table(input);
}

std::uint64_t saturated_product(std::uint64_t count, std::uint64_t size) {
  std::uint64_t product = 0;
  return __builtin_mul_overflow(count, size, &product) ? std::numeric_limits<std::uint64_t>::max()
                                                       : product;
}

std::uint64_t most_unpacked(std::uint64_t on_disk) {
  static constexpr std::uint64_t kRatio = 200, kAlways = 64u << 20;
  const std::uint64_t memory = static_cast<std::uint64_t>(::sysconf(_SC_PHYS_PAGES)) *
                               static_cast<std::uint64_t>(::sysconf(_SC_PAGESIZE));
  return std::min(std::max(kAlways, saturated_product(on_disk, kRatio)), memory / 2);
}

void refuse(const SourceInput& input, const std::string& what, const std::string& next_step) {
  throw Error(ErrorKind::data, display(input.path) + ": " + what, next_step);
}

void refuse_line(const SourceInput& input,
                 std::uint64_t line,
                 const std::string& what,
                 const std::string& next_step) {
  throw Error(
      ErrorKind::data, display(input.path) + ":" + std::to_string(line) + ": " + what, next_step);
}

void refuse_truncated(const SourceInput& input,
                      std::uint64_t promised,
                      std::uint64_t delivered,
                      const std::string& what) {
  throw TruncatedScan(display(input.path) + ": file promises " + std::to_string(promised) + " " +
                          what + " and delivers " + std::to_string(delivered),
                      promised,
                      delivered);
}

}  // namespace rigproof
