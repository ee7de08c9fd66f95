#include "seal/manifest.h"

#include <algorithm>

#include <nlohmann/json.hpp>

#include "base/error.h"
#include "base/input_file.h"
#include "base/json_excess.h"
#include "base/json_whole.h"
#include "base/sha256.h"
#include "inputs/session.h"
#include "inputs/session_folder.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;
constexpr const char* kSchema = "rigproof-manifest-1";

[[noreturn]] void refuse(const fs::path& file, const std::string& why) {
  throw Error(ErrorKind::data,
              display(file) + ": " + why,
              "A sealed folder holds plain files and folders alone; copy the file itself here.");
}

[[noreturn]] void unreadable(const std::string& why) {
  throw Error(
      ErrorKind::data, "manifest: " + why, "It was damaged or changed; ask for the original.");
}

std::string line(const Json& j) { return j.dump(-1, ' ', false, Json::error_handler_t::strict); }

}  // namespace

const ManifestFile* Manifest::find(const std::string& path) const {
  const auto it = std::ranges::lower_bound(files, path, {}, &ManifestFile::path);
  return it != files.end() && it->path == path ? &*it : nullptr;
}

std::string manifest_text(const Manifest& m) {
  Json head{{"schema", kSchema},
            {"stage", m.stage},
            {"session", m.session},
            {"authorised_by", m.authorised_by},
            {"sealed", m.sealed},
            {"key", m.key},
            {"program", {{"version", m.version}, {"build", m.build}}},
            {"results", m.results},
            {"drawing", m.drawing}};
  if (!m.log.empty()) head["log"] = m.log;
  std::string out = "{\n";
  for (const auto& [name, value] : head.items()) out += line(name) + ": " + line(value) + ",\n";
  out += "\"files\": [";
  for (const ManifestFile& f : m.files)
    out += std::string(&f == &m.files.front() ? "\n" : ",\n") +
           line({{"path", f.path}, {"bytes", f.bytes}, {"sha256", f.sha256}});
  return out + "\n]}\n";
}

Manifest parse_manifest(const std::string& text) {
  if (const char* excess = json_excess(text)) unreadable(excess);
  try {
    const Json j = Json::parse(text);
    if (j.at("schema") != kSchema)
      throw Error(ErrorKind::data,
                  "manifest: schema is not " + std::string(kSchema),
                  "Use the version of the program that sealed it, or a newer one.");
    Manifest m;
    m.stage = j.at("stage");
    m.session = j.at("session");
    m.authorised_by = j.at("authorised_by");
    m.sealed = j.at("sealed");
    m.key = j.at("key");
    m.version = j.at("program").at("version");
    m.build = j.at("program").at("build");
    m.results = j.at("results");
    m.drawing = j.at("drawing");
    m.log = j.value("log", "");
    if (!find_date(m.sealed.substr(0, 10))) unreadable("names no day on which it was sealed");
    for (const auto& f : j.at("files")) {
      const auto bytes = whole_number<std::uint64_t>(f.at("bytes"));
      if (!bytes) unreadable("gives a size that no file has");
      m.files.push_back({f.at("path"), *bytes, f.at("sha256")});
    }
    for (const ManifestFile& file : m.files)
      if (!is_inner_path(file.path)) unreadable("names a file outside the folder");
    for (const std::string& path : {m.results, m.log})
      if (!path.empty() && !is_inner_path(path)) unreadable("names results or a log outside it");
    std::ranges::sort(m.files, {}, &ManifestFile::path);
    const auto twice = std::ranges::adjacent_find(m.files, {}, &ManifestFile::path);
    if (twice != m.files.end()) unreadable("lists a file twice");
    return m;
  } catch (const Json::exception& error) {
    unreadable("cannot be read: " + json_complaint(error.what()));
  }
}

std::vector<std::string> files_below(const fs::path& folder) {
  std::vector<std::string> out;
  std::error_code ec;
  auto it = fs::recursive_directory_iterator(folder, ec);
  if (ec) throw Error(ErrorKind::missing, display(folder) + ": " + ec.message(), "Name a folder.");
  for (; it != fs::end(it); it.increment(ec)) {
    const fs::path& path = it->path();
    const auto type = it->symlink_status(ec).type();
    if (ec) break;
    if (type == fs::file_type::directory) continue;
    if (type == fs::file_type::symlink) refuse(path, "is a symbolic link");
    if (type != fs::file_type::regular) refuse(path, "is neither a file nor a folder");
    std::string name = path.lexically_relative(folder).generic_string();
    if (display(name) != name) refuse(path, "has a name with control characters or invalid UTF-8");
    out.push_back(std::move(name));
  }
  if (ec) throw Error(ErrorKind::io, display(folder) + ": " + ec.message(), "Check permissions.");
  std::ranges::sort(out);
  return out;
}

std::vector<ManifestFile> describe(const fs::path& folder, const std::vector<std::string>& paths) {
  std::vector<ManifestFile> out;
  for (const std::string& path : paths)
    out.push_back({path, fs::file_size(folder / path), sha256_file(folder / path)});
  return out;
}

std::string sha256sum_text(const std::vector<ManifestFile>& files) {
  std::string out;
  for (const ManifestFile& f : files) out += f.sha256 + "  " + f.path + "\n";
  return out;
}

}  // namespace rigproof
