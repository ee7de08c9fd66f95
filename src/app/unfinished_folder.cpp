#include "app/unfinished_folder.h"

#include "base/error.h"
#include "base/input_file.h"
#include "seal/seal.h"

namespace rigproof {

namespace fs = std::filesystem;

void cannot_create(const fs::path& path, const std::string& why) {
  throw Error(ErrorKind::cannot_create,
              display(path) + ": cannot be created: " + why,
              "Choose another folder where you may write.");
}

UnfinishedFolder::UnfinishedFolder(fs::path folder, fs::path topmost)
    : folder_(std::move(folder)), topmost_(std::move(topmost)) {}

UnfinishedFolder::UnfinishedFolder(const fs::path& folder) : folder_(folder) {
  refuse_sealed(folder);
  std::error_code ec;
  if (fs::exists(folder, ec)) {
    if (!fs::is_directory(folder, ec) || !fs::is_empty(folder, ec) || ec)
      throw Error(ErrorKind::cannot_create,
                  display(folder) + ": is not an empty folder",
                  "Name a folder that is empty or not there yet.");
    return;
  }
  for (fs::path p = folder; !p.empty() && !fs::exists(p, ec); p = p.parent_path()) topmost_ = p;
  fs::create_directories(folder, ec);
  if (ec) {
    clear();
    cannot_create(folder, ec.message());
  }
}

UnfinishedFolder UnfinishedFolder::fresh(const std::string& name) {
  refuse_sealed(name);
  for (int n = 1;; ++n) {
    const fs::path folder = n == 1 ? name : name + "-" + std::to_string(n);
    std::error_code ec;
    if (fs::create_directory(folder, ec)) return {folder, folder};
    if (ec && ec != std::errc::file_exists) cannot_create(folder, ec.message());
  }
}

UnfinishedFolder::~UnfinishedFolder() {
  if (!kept_) clear();
}

void UnfinishedFolder::clear() {
  std::error_code ec;
  if (!topmost_.empty()) {
    fs::remove_all(topmost_, ec);
    return;
  }
  for (fs::directory_iterator it(folder_, ec), end; !ec && it != end; it.increment(ec)) {
    std::error_code ignored;
    fs::remove_all(it->path(), ignored);
  }
}

}  // namespace rigproof
