#include "app/scan_intake.h"

#include <algorithm>
#include <functional>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "inputs/session_folder.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kPiece = 1 << 20;

// A file that shrank or was written to while it was read is not finished.
bool unless_changed(const std::function<void()>& read) {
  try {
    read();
    return true;
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::io) throw;
    return false;
  }
}

}  // namespace

ScanIntake::ScanIntake(fs::path into) : into_(std::move(into)) {
  std::error_code ec;
  fs::create_directories(into_, ec);
  for (const auto& entry : fs::directory_iterator(into_, ec))
    if (entry.is_regular_file(ec) && !is_temporary_name(entry.path().filename().string()))
      by_size_.emplace(entry.file_size(ec), entry.path().filename().string());
}

const std::string& ScanIntake::hash_of(const std::string& name) {
  const auto [at, fresh] = hashes_.try_emplace(name);
  if (fresh) at->second = sha256_file(into_ / name);
  return at->second;
}

fs::path ScanIntake::free_name(const std::string& name) const {
  for (int n = 1;; ++n) {
    // "scan.ply.gz" keeps both endings.
    const std::size_t dot = name.find('.', 1);
    const std::string stem = name.substr(0, dot);
    const std::string ending = dot == std::string::npos ? "" : name.substr(dot);
    const fs::path file = into_ / (n == 1 ? name : stem + "-" + std::to_string(n) + ending);
    std::error_code ec;
    if (!fs::exists(file, ec)) return file;
  }
}

ScanIntake::Taken ScanIntake::take(const fs::path& from) {
  const InputFile source(from);
  const std::string name = from.filename().string();
  const auto [first, last] = by_size_.equal_range(source.size());
  if (first != last) {
    const std::string hash = sha256_file(from);
    for (auto it = first; it != last; ++it)
      if (hash_of(it->second) == hash) return {Taken::What::known, into_ / it->second, it->second};
  }
  fs::path target = free_name(name);
  AtomicFile copy(target);
  std::string piece(kPiece, '\0');
  for (std::uint64_t at = 0; at < source.size(); at += piece.size()) {
    piece.resize(static_cast<std::size_t>(std::min<std::uint64_t>(kPiece, source.size() - at)));
    if (!unless_changed([&] { source.read(at, piece.data(), piece.size()); }))
      return {Taken::What::changed, {}, ""};
    copy.write(piece);
  }
  if (!unless_changed([&] { source.check_unchanged(); })) return {Taken::What::changed, {}, ""};
  // Another may have taken the name meanwhile: no scan is ever replaced.
  while (!copy.commit_if_free(target)) target = free_name(name);
  by_size_.emplace(source.size(), target.filename().string());
  return {Taken::What::copied, target, ""};
}

}  // namespace rigproof
