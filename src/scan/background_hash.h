#pragma once

#include <atomic>
#include <future>
#include <memory>
#include <string>

#include "scan/bytes.h"

namespace rigproof {

/// SHA-256 of a file on a thread of its own. The pages are in the cache anyway while the file is
/// surveyed, so that reading them again costs less than handing buffers over.
class BackgroundHash {
 public:
  explicit BackgroundHash(std::shared_ptr<const Bytes> file);
  ~BackgroundHash() { stop_ = true; }  // the future's destructor waits for the thread
  BackgroundHash(const BackgroundHash&) = delete;
  BackgroundHash& operator=(const BackgroundHash&) = delete;

  /// Waits; throws what the thread threw.
  std::string get() const { return result_.get(); }

 private:
  std::atomic<bool> stop_ = false;
  std::shared_future<std::string> result_;
};

}  // namespace rigproof
