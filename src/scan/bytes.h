#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "base/input_file.h"

namespace rigproof {

/// Bytes read by position, from disk or unpacked in memory. Reads are safe from several threads.
class Bytes {
 public:
  virtual ~Bytes() = default;
  virtual std::uint64_t size() const = 0;
  /// Exactly n bytes; the caller stays within size().
  virtual void read(std::uint64_t offset, void* into, std::size_t n) const = 0;
  /// Throws Error(io) when the bytes are no longer those that were opened.
  virtual void check_unchanged() const {}

  /// The first bytes, at most n.
  std::string head(std::size_t n) const;
};

class FileBytes : public Bytes {
 public:
  explicit FileBytes(const std::filesystem::path& path) : file_(path) {}
  std::uint64_t size() const override { return file_.size(); }
  void read(std::uint64_t offset, void* into, std::size_t n) const override {
    file_.read(offset, into, n);
  }
  void check_unchanged() const override { file_.check_unchanged(); }

 private:
  InputFile file_;
};

/// A growing list of pieces: what is unpacked or parsed never has to be copied together.
class MemoryBytes : public Bytes {
 public:
  void append(std::unique_ptr<char[]> piece, std::size_t n);
  void append_copy(const void* data, std::size_t n);
  std::uint64_t size() const override { return size_; }
  void read(std::uint64_t offset, void* into, std::size_t n) const override;

 private:
  std::vector<std::unique_ptr<char[]>> pieces_;
  std::vector<std::uint64_t> starts_;
  std::uint64_t size_ = 0;
};

/// Sequential reading with a buffer, for what must be walked value by value.
class ByteCursor {
 public:
  ByteCursor(const Bytes& bytes, std::uint64_t at) : bytes_(bytes), at_(at) {}
  std::uint64_t position() const { return at_; }
  std::uint64_t left() const { return bytes_.size() - at_; }
  /// The next n bytes (n ≤ 4096), or null when fewer are left; they stay valid until the next call.
  const char* take(std::size_t n);
  /// False when fewer than n bytes are left.
  bool skip(std::uint64_t n);

 private:
  const Bytes& bytes_;
  std::uint64_t at_;
  std::vector<char> buffer_;
  std::uint64_t buffer_start_ = 0;
};

}  // namespace rigproof
