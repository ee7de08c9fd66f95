#include "scan/lines.h"

#include <algorithm>
#include <cstring>

#include "base/threads.h"

namespace rigproof {
namespace {

constexpr std::size_t kChunk = 1u << 20;
constexpr std::size_t kLongestLine = 1u << 20;

/// Where a line went wrong, carried out of the parallel part.
struct PlacedError {
  std::uint64_t offset;
  std::string what;
};

/// '\n', or '\r' in files that know no other line end.
char line_end(const SourceInput& input) {
  if (input.head.find('\n') != std::string::npos) return '\n';
  return input.head.find('\r') != std::string::npos ? '\r' : '\n';
}

/// The lines that start in [begin, end), whole. `at` becomes the offset of the first.
void read_chunk(const Bytes& bytes,
                std::uint64_t begin,
                std::uint64_t end,
                bool first,
                char newline,
                std::string& buffer,
                std::uint64_t& at) {
  const std::uint64_t from = first ? begin : begin - 1;
  buffer.resize(end - from);
  bytes.read(from, buffer.data(), buffer.size());
  std::size_t skip = 0;
  if (!first) {
    const std::size_t mark = buffer.find(newline);
    if (mark == std::string::npos || from + mark + 1 >= end) {
      buffer.clear();
      at = end;
      return;
    }
    skip = mark + 1;
  }
  at = from + skip;
  std::uint64_t upto = end;
  while (buffer.back() != newline && upto < bytes.size()) {
    const std::size_t more = std::min<std::uint64_t>(4096, bytes.size() - upto);
    const std::size_t old = buffer.size();
    if (upto - end > kLongestLine) throw PlacedError{end, "line of more than a million characters"};
    buffer.resize(old + more);
    bytes.read(upto, buffer.data() + old, more);
    upto += more;
    if (const std::size_t mark = buffer.find(newline, old); mark != std::string::npos) {
      buffer.resize(mark + 1);
      break;
    }
  }
  buffer.erase(0, skip);
}

/// Calls visit(line) for each line of the text until it returns false.
template <class Visit>
void each_line(std::string_view text, char newline, const Visit& visit) {
  while (!text.empty()) {
    const auto* mark = static_cast<const char*>(std::memchr(text.data(), newline, text.size()));
    const std::size_t n = mark ? static_cast<std::size_t>(mark - text.data()) : text.size();
    std::string_view line = text.substr(0, n);
    while (!line.empty() && (is_blank(line.back()) || line.back() == '\r')) line.remove_suffix(1);
    if (!visit(line)) return;
    text.remove_prefix(mark ? n + 1 : n);
  }
}

bool is_data(std::string_view line, bool hash_comments) {
  const std::string_view text = trim(line);
  return !text.empty() && (!hash_comments || text.front() != '#');
}

std::uint64_t line_number(const Bytes& bytes, std::uint64_t offset, char newline) {
  std::vector<char> buffer(std::min<std::uint64_t>(kChunk, offset));
  std::uint64_t line = 1;
  for (std::uint64_t at = 0; at < offset; at += buffer.size()) {
    const auto n = static_cast<std::size_t>(std::min<std::uint64_t>(buffer.size(), offset - at));
    bytes.read(at, buffer.data(), n);
    line += static_cast<std::uint64_t>(std::count(buffer.data(), buffer.data() + n, newline));
  }
  return line;
}

/// The chunks of a text from a byte on.
struct Chunks {
  const SourceInput& input;
  std::uint64_t from;
  char newline = line_end(input);

  std::size_t size() const {
    return static_cast<std::size_t>((input.bytes->size() - from + kChunk - 1) / kChunk);
  }
  void read(std::size_t chunk, std::string& buffer, std::uint64_t& at) const {
    const std::uint64_t begin = from + chunk * std::uint64_t{kChunk};
    const std::uint64_t end = std::min<std::uint64_t>(begin + kChunk, input.bytes->size());
    read_chunk(*input.bytes, begin, end, chunk == 0, newline, buffer, at);
  }
};

/// Number of the first data line of each chunk, and one past the last.
std::vector<std::uint64_t> first_rows(const Chunks& chunks, bool hash_comments) {
  std::vector<std::uint64_t> rows(chunks.size() + 1, 0);
  parallel_blocks(chunks.size(), chunks.input.threads, [&](std::size_t chunk, int) {
    std::string buffer;
    std::uint64_t at = 0;
    chunks.read(chunk, buffer, at);
    each_line(buffer, chunks.newline, [&](std::string_view line) {
      rows[chunk + 1] += is_data(line, hash_comments);
      return true;
    });
  });
  for (std::size_t i = 1; i < rows.size(); ++i) rows[i] += rows[i - 1];
  return rows;
}

}  // namespace

ParsedLines parse_lines(const SourceInput& input,
                        std::uint64_t from,
                        const std::optional<RowWindow>& window,
                        const std::function<void(std::string_view, ChunkResult&)>& parse) {
  const Chunks chunks{input, from};
  ParsedLines parsed;
  std::vector<ChunkResult> results(chunks.size());
  std::vector<std::unique_ptr<char[]>> pieces(chunks.size());
  try {
    std::vector<std::uint64_t> rows;
    if (window) {
      rows = first_rows(chunks, window->hash_comments);
      parsed.rows = rows.back();
    }
    parallel_blocks(chunks.size(), input.threads, [&](std::size_t chunk, int) {
      std::uint64_t row = 0;
      if (window) {
        row = rows[chunk];
        if (rows[chunk + 1] <= window->first || row >= window->first + window->count) return;
      }
      std::string buffer;
      std::uint64_t at = 0;
      chunks.read(chunk, buffer, at);
      ChunkResult& result = results[chunk];
      each_line(buffer, chunks.newline, [&](std::string_view line) {
        if (window) {
          if (!is_data(line, window->hash_comments)) return true;
          const std::uint64_t here = row++;
          if (here < window->first) return true;
          if (here - window->first >= window->count) return false;
        }
        try {
          parse(line, result);
        } catch (const LineError& e) {
          // A promised row that breaks off at the end of the file was not delivered.
          if (window && at + buffer.size() == input.bytes->size() &&
              line.data() + line.size() == buffer.data() + buffer.size())
            return false;
          throw PlacedError{at + static_cast<std::uint64_t>(line.data() - buffer.data()), e.what()};
        }
        return true;
      });
      const std::size_t n = result.xyz.size() * sizeof(double);
      pieces[chunk] = std::make_unique_for_overwrite<char[]>(n);
      if (n > 0) std::memcpy(pieces[chunk].get(), result.xyz.data(), n);
      result.counts[3] = result.xyz.size() / 3;
      result.xyz = {};
    });
  } catch (const PlacedError& e) {
    refuse_line(input, line_number(*input.bytes, e.offset, chunks.newline), e.what);
  }
  for (std::size_t chunk = 0; chunk < results.size(); ++chunk) {
    const std::uint64_t points = results[chunk].counts[3];
    parsed.points += points;
    parsed.xyz->append(std::move(pieces[chunk]), points * 3 * sizeof(double));
    for (int i = 0; i < 3; ++i) parsed.counts[i] += results[chunk].counts[i];
  }
  return parsed;
}

}  // namespace rigproof
