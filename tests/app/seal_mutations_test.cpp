// One thousand changes to a sealed session and some to its customer folder, each of them caught;
// none raised where nothing changed.
#include <random>

#include <gtest/gtest.h>
#include <unistd.h>

#include "app/sealed_session.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "seal/audit.h"
#include "seal/bundle.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

/// Signature and files alone, without drawing or computing anything again: quick.
Audit quick_audit(const fs::path& session) {
  AuditOptions options;
  options.recompute = false;
  options.render = [](const Results&, const std::string&, const SealMark&) {
    return std::vector<SealedDocument>{};
  };
  return audit_session(session, options);
}

// Bits flipped, bytes added or cut off, files swapped, added, removed, renamed, linked, listed as
// cut-outs, signatures of another key.
class Mutation {
 public:
  Mutation(const fs::path& folder, std::uint64_t seed)
      : folder_(folder), random_(seed), files_(files_below(folder)) {}

  /// Says what it did.
  std::string apply() {
    switch (pick(10)) {
      case 0:
        return resized();
      case 1:
        return swapped();
      case 2:
        return added();
      case 3:
        return removed();
      case 4:
        return renamed();
      case 5:
        return signed_by_another();
      case 6:
        return exempted();
      default:
        return flipped();
    }
  }

 private:
  std::size_t pick(std::size_t n) {
    return std::uniform_int_distribution<std::size_t>(0, n - 1)(random_);
  }
  std::string any() { return files_[pick(files_.size())]; }
  std::string read(const std::string& name) { return read_text(folder_ / name, 64u << 20); }

  std::string flipped() {
    const std::string name = any();
    std::string content = read(name);
    const std::size_t at = pick(content.size());
    content[at] = static_cast<char>(content[at] ^ (1 << pick(8)));
    put(folder_ / name, content);
    return "bit of " + name + " at " + std::to_string(at);
  }
  std::string resized() {
    const std::string name = any();
    if (name == "bundle.json") return flipped();  // a line end more says nothing else
    std::string content = read(name);
    if (pick(2))
      content += "\n";
    else
      content.resize(pick(content.size()));
    put(folder_ / name, content);
    return "size of " + name;
  }
  std::string swapped() {
    const std::string a = any(), b = any();
    const std::string content_a = read(a), content_b = read(b);
    if (content_a == content_b) return flipped();
    put(folder_ / a, content_b);
    put(folder_ / b, content_a);
    return a + " and " + b;
  }
  std::string added() {
    const char* places[] = {"scans/scan999.ply",
                            "photos/p.jpg",
                            "notes.txt",
                            "seal/x",
                            "out-9/results.json",
                            "artefacts/z.toml",
                            "bundle.json"};
    const std::string name = places[pick(std::size(places))];
    fs::create_directories((folder_ / name).parent_path());
    fs::remove(folder_ / name);  // a customer folder has an index
    if (pick(4) == 0)
      fs::create_symlink("session.toml", folder_ / name);
    else
      put(folder_ / name, pick(2) ? "{}" : "");
    return "added " + name;
  }
  std::string removed() {
    const std::string name = any();
    fs::remove(folder_ / name);
    return "removed " + name;
  }
  std::string renamed() {
    const std::string name = any();
    fs::rename(folder_ / name, folder_ / (name + "x"));
    return "renamed " + name;
  }
  std::string signed_by_another() {
    fs::remove(folder_.string() + ".key");
    const SigningKey key = SigningKey::create(folder_.string() + ".key");
    Manifest m = parse_manifest(read("seal/manifest.json"));
    if (pick(2)) m.key = key.public_hex();
    if (pick(2)) put(folder_ / "seal/signer.txt", key.public_hex() + "\n");
    put(folder_ / "seal/manifest.json", manifest_text(m));
    put(folder_ / "seal/signature.txt", key.sign(manifest_text(m)) + "\n");
    return "signed by another key";
  }

  /// A changed file that the index names as a cut-out, with its new digest. Where the cut-outs of a
  /// customer folder are real, only computing again tells.
  std::string exempted() {
    const bool bundle = fs::exists(folder_ / "bundle.json");
    std::string name = any();
    while (bundle && (name == "bundle.json" || name.starts_with("scans/"))) name = any();
    put(folder_ / name, read(name) + " ");
    nlohmann::json index{{"schema", "rigproof-bundle-1"}, {"cut_outs", nlohmann::json::array()}};
    index["sealed_as"] = nlohmann::json::object();
    if (bundle)
      index = nlohmann::json::parse(read("bundle.json"));
    else if (const Manifest m = parse_manifest(read("seal/manifest.json")); pick(2))
      index["sealed_as"] = moved_in_bundle(m);
    index["cut_outs"].push_back({{"scan", name},
                                 {"whole", false},
                                 {"bytes", fs::file_size(folder_ / name)},
                                 {"sha256", sha256_file(folder_ / name)}});
    put(folder_ / "bundle.json", index.dump());
    return "listed as a cut-out: " + name;
  }

  fs::path folder_;
  std::mt19937_64 random_;
  std::vector<std::string> files_;
};

/// One thousand times a whole folder is written: in memory where the system offers that.
fs::path quick_folder() {
  const fs::path base = ::access("/dev/shm", W_OK) == 0 ? "/dev/shm" : testing::TempDir();
  return base / ("rigproof-mutations-" + std::to_string(::getpid()));
}

void catch_mutations(const fs::path& sound, int mutations) {
  const fs::path folder = quick_folder();
  int missed = 0, false_alarms = 0;
  for (int i = 0; i < mutations; ++i) {
    fs::remove_all(folder);
    fs::copy(sound, folder, fs::copy_options::recursive);
    if (i % 100 == 0) false_alarms += quick_audit(folder).outcome != AuditOutcome::matches;
    const std::string what = Mutation(folder, static_cast<std::uint64_t>(i)).apply();
    const bool caught = quick_audit(folder).outcome != AuditOutcome::matches;
    missed += !caught;
    EXPECT_TRUE(caught) << i << ": " << what;
  }
  fs::remove_all(folder);
  fs::remove(folder.string() + ".key");
  EXPECT_EQ(missed, 0);
  EXPECT_EQ(false_alarms, 0);
}

TEST(Seal, AThousandMutationsAreAllCaught) {
#ifdef RIGPROOF_SANITIZED
  constexpr int mutations = 200;  // instrumented code is many times slower
#else
  constexpr int mutations = 1000;
#endif
  catch_mutations(Sealed::get().session, mutations);
}

TEST(Bundle, MutationsAreAllCaught) {
  const Sealed& s = Sealed::get();
  ASSERT_EQ(run_program({"bundle", "session", "--out", "mutated"}, s.dir).code, 0);
  catch_mutations(s.dir / "mutated", 300);
}

}  // namespace
}  // namespace rigproof
