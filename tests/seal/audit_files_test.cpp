// What an audit believes of a folder whose bundle.json anybody may have written.
#include "seal/audit_files.h"

#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/input_file.h"
#include "base/sha256.h"
#include "seal/audit_bundle.h"
#include "seal/bundle.h"
#include "seal/layout.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

void put(const fs::path& file, const std::string& content) {
  fs::create_directories(file.parent_path());
  std::ofstream(file) << content;
}

/// A sealed session of small files and the customer folder of it.
class AuditFiles : public testing::Test {
 protected:
  void SetUp() override {
    dir_ = fs::path(testing::TempDir()) / ("audit_files_" + std::to_string(::getpid()));
    fs::remove_all(dir_);
    for (const char* name : {"session.toml",
                             "limits.toml",
                             "artefacts/bar.toml",
                             "photos/p.jpg",
                             "documents/d.pdf",
                             "calibration/c.xml",
                             "scans/a.xyz",
                             "scans/b.xyz",
                             "out/results.json",
                             "out/values.csv",
                             "out/log.txt",
                             "seal/certificate.pdf",
                             "seal/contents.sha256"})
      put(session() / name, "this is " + std::string(name));
    manifest_.stage = "session";
    manifest_.sealed = "2026-03-14T12:00:00Z";
    manifest_.results = "out/results.json";
    manifest_.files = describe(session(), files_below(session()));
    make_bundle();
  }
  void TearDown() override { fs::remove_all(dir_); }

  void make_bundle() {
    for (const ManifestFile& file : manifest_.files)
      if (const auto place = place_in_bundle(file.path, manifest_); !place.empty())
        put(bundle() / place, read_text(session() / file.path));
    put(bundle() / kRawFile, raw_files_text(manifest_));
    put(bundle() / kBundleFile, "{}");
    index_.sealed_as = moved_in_bundle(manifest_);
    list_as_cut_out("scans/a.xyz", "a part of a");
    list_as_cut_out("scans/b.xyz", "a part of b");
  }
  void list_as_cut_out(const std::string& path, const std::string& content) {
    put(bundle() / path, content);
    index_.cut_outs.push_back({path, false, sha256_hex(content), content.size()});
  }

  Audit audit_of_session() const {
    Audit audit;
    audit.manifest = manifest_;
    check_files(session(), std::nullopt, audit);
    return audit;
  }
  Audit audit_of(const fs::path& folder, const BundleIndex& index) const {
    Audit audit;
    audit.bundle = true;
    audit.manifest = manifest_;
    check_files(folder, index, audit);
    return audit;
  }
  Audit audit_of_bundle() const { return audit_of(bundle(), index_); }

  fs::path session() const { return dir_ / "session"; }
  fs::path bundle() const { return dir_ / "bundle"; }

  fs::path dir_;
  Manifest manifest_;
  BundleIndex index_;
};

TEST_F(AuditFiles, WhatIsAsItWasRaisesNothing) {
  for (const Audit& audit : {audit_of_session(), audit_of_bundle()}) {
    EXPECT_THAT(audit.differs, IsEmpty());
    EXPECT_THAT(audit.missing, IsEmpty());
    EXPECT_THAT(audit.findings, IsEmpty());
  }
  put(bundle() / "scans/a.xyz", "this is scans/a.xyz");
  index_.cut_outs[0] = {"scans/a.xyz", true, manifest_.find("scans/a.xyz")->sha256, 19};
  EXPECT_THAT(audit_of_bundle().differs, IsEmpty()) << "a scan that was kept whole";
  index_.cut_outs[0].bytes = 20;
  EXPECT_THAT(audit_of_bundle().differs, ElementsAre(HasSubstr("as another file")));
}

// An index makes a customer folder of a session, where much may be absent.
TEST_F(AuditFiles, AnIndexThatIsPutIntoASealedSessionIsFoundOut) {
  for (const char* name : {"photos", "documents", "calibration"}) fs::remove_all(session() / name);
  put(session() / kBundleFile, "{}");
  EXPECT_THAT(audit_of(session(), {}).differs, Not(IsEmpty()));
  BundleIndex made_good;
  made_good.sealed_as = moved_in_bundle(manifest_);
  for (const char* scan : {"scans/a.xyz", "scans/b.xyz"})
    made_good.cut_outs.push_back({scan, true, "", 0});
  const Audit audit = audit_of(session(), made_good);
  EXPECT_THAT(audit.added, Contains("out/results.json"));
  EXPECT_THAT(audit.missing, Contains("results.json"));
  EXPECT_THAT(audit.missing, Contains("raw-files.sha256"));
}

TEST_F(AuditFiles, OnlyASealedScanIsBelievedToBeACutOut) {
  for (const char* name : {"values.csv", "certificate.pdf", "session.toml", "scans/new.xyz"}) {
    const BundleIndex honest = index_;
    const bool sealed = fs::exists(bundle() / name);
    const std::string before = sealed ? read_text(bundle() / name) : "";
    list_as_cut_out(name, "edited");
    const Audit audit = audit_of_bundle();
    EXPECT_THAT(audit.differs, Contains(HasSubstr("is no sealed scan"))) << name;
    EXPECT_THAT(sealed ? audit.changed : audit.added, ElementsAre(name));
    index_ = honest;
    if (sealed)
      put(bundle() / name, before);
    else
      fs::remove(bundle() / name);
  }
  EXPECT_THAT(audit_of_bundle().differs, IsEmpty());
}

TEST_F(AuditFiles, OneThatIsSaidToBeWholeIsTheSealedFile) {
  for (auto& cut : index_.cut_outs) cut.whole = true;
  EXPECT_THAT(audit_of_bundle().changed, ElementsAre("scans/a.xyz", "scans/b.xyz"));
}

TEST_F(AuditFiles, ACutOutIsTheOneThatTheIndexSays) {
  put(bundle() / "scans/a.xyz", "another part of a");
  EXPECT_THAT(audit_of_bundle().changed, ElementsAre("scans/a.xyz"));
}

TEST_F(AuditFiles, WhatBelongsInACustomerFolderIsMissed) {
  for (const std::string& name : files_below(bundle())) {
    if (name == kBundleFile) continue;
    fs::rename(bundle() / name, dir_ / "aside");
    EXPECT_THAT(audit_of_bundle().missing, ElementsAre(name));
    fs::rename(dir_ / "aside", bundle() / name);
  }
}

TEST_F(AuditFiles, WhatHasNoPlaceInACustomerFolderIsNamed) {
  put(bundle() / "out/values.csv", read_text(session() / "out/values.csv"));
  EXPECT_THAT(audit_of_bundle().added, ElementsAre("out/values.csv"));
}

TEST_F(AuditFiles, DigestsOfRawFilesAreThoseOfTheManifest) {
  put(bundle() / kRawFile, std::string(64, '0') + "  scans/a.xyz\n");
  EXPECT_THAT(audit_of_bundle().changed, ElementsAre(kRawFile));
}

TEST_F(AuditFiles, TheIndexCannotSayWhichSealedFileAnotherIs) {
  index_.sealed_as["values.csv"] = "out/log.txt";
  put(bundle() / "values.csv", read_text(session() / "out/log.txt"));
  const Audit audit = audit_of_bundle();
  EXPECT_THAT(audit.changed, ElementsAre("values.csv"));
  EXPECT_THAT(audit.differs, Contains(HasSubstr("is not the index")));
}

Results two_scans() {
  Results r;
  r.scans.resize(2);
  r.scans[0].file = "scans/a.xyz";
  r.scans[0].features.resize(1);
  r.scans[1].file = "scans/b.xyz";
  return r;
}

TEST(AuditCutOuts, AreThoseOfTheSealedResults) {
  const BundleIndex honest{{{"scans/a.xyz", false, "", 1}, {"scans/b.xyz", true, "", 1}}, {}};
  Audit sound;
  check_cut_outs(honest, two_scans(), sound);
  EXPECT_THAT(sound.differs, IsEmpty());
  EXPECT_THAT(sound.missing, IsEmpty());

  BundleIndex nothing_to_cut = honest;
  nothing_to_cut.cut_outs[1].whole = false;
  Audit cut;
  check_cut_outs(nothing_to_cut, two_scans(), cut);
  EXPECT_THAT(cut.differs, ElementsAre(HasSubstr("scans/b.xyz")));

  BundleIndex dropped = honest;
  dropped.cut_outs.pop_back();
  Audit absent;
  check_cut_outs(dropped, two_scans(), absent);
  EXPECT_THAT(absent.missing, ElementsAre("scans/b.xyz"));

  BundleIndex more = honest;
  more.cut_outs.push_back({"scans/.c.xyz", false, "", 1});
  Audit added;
  check_cut_outs(more, two_scans(), added);
  EXPECT_THAT(added.differs, ElementsAre(HasSubstr("scans/.c.xyz")));
}

TEST(AuditCutOuts, WhatWasSealedAsAScanIsInTheSealedResults) {
  const BundleIndex index{{{"scans/a.xyz", false, "", 1}, {"scans/b.xyz", true, "", 1}}, {}};
  Results results = two_scans();
  results.session.skipped = {"notes.txt: no scan", "old: a folder"};
  Audit audit;
  for (const char* path : {"scans/a.xyz", "scans/b.xyz", "scans/notes.txt", "scans/old/c.xyz"})
    audit.manifest.files.push_back({path, 1, ""});
  check_cut_outs(index, results, audit);
  EXPECT_THAT(audit.differs, IsEmpty());
  audit.manifest.files.push_back({"scans/worse.xyz", 1, ""});
  check_cut_outs(index, results, audit);
  EXPECT_THAT(audit.differs, ElementsAre(HasSubstr("scans/worse.xyz was sealed")));
}

TEST(AuditCutOuts, WhatNothingVouchesForIsNamed) {
  const BundleIndex index{
      {{"scans/a", false, "", 1}, {"scans/b", false, "", 1}, {"scans/c", true, "", 1}}, {}};
  Audit hashes_only;
  say_cut_outs(index, hashes_only);
  EXPECT_THAT(hashes_only.cut_outs, ElementsAre("scans/a", "scans/b"));
  EXPECT_EQ(hashes_only.unvouched, hashes_only.cut_outs);
  EXPECT_THAT(hashes_only.notes, Contains(HasSubstr("nothing in this audit vouches")));

  Audit computed;
  computed.comparison.emplace();
  for (const char* scan : {"scans/a", "scans/b"}) {
    ComparedValue value;
    value.scan = scan;
    value.difference = scan == std::string("scans/a") ? 0 : 1;
    computed.comparison->values.push_back(value);
  }
  say_cut_outs(index, computed);
  EXPECT_THAT(computed.unvouched, ElementsAre("scans/b"));
  EXPECT_THAT(computed.notes, Contains(HasSubstr("for 1 of them the values vouch")));
}

/// A folder whose limits alone are sealed, and a home that knows nobody.
class AuditAgreement : public testing::Test {
 protected:
  void SetUp() override {
    dir_ = fs::path(testing::TempDir()) / ("audit_agreement_" + std::to_string(::getpid()));
    fs::remove_all(dir_);
    ::setenv("RIGPROOF_HOME", (dir_ / "home").c_str(), 1);
    put(session() / "limits.toml", "limits");
    put(session() / "artefacts/bar.toml", "bar");
    seal_into(session() / kSealFolder / kAgreedFolder);
  }
  void TearDown() override {
    ::unsetenv("RIGPROOF_HOME");
    fs::remove_all(dir_);
  }

  fs::path session() const { return dir_ / "session"; }
  void seal_into(const fs::path& seal) const {
    const SigningKey key = SigningKey::create(dir_ / "key");
    Manifest m;
    m.stage = "agreed";
    m.sealed = "2026-03-14T12:00:00Z";
    m.key = key.public_hex();
    m.files = describe(session(), {"artefacts/bar.toml", "limits.toml"});
    put(seal / kManifestFile, manifest_text(m));
    put(seal / kSignerFile, m.key + "\n");
    put(seal / kSignatureFile, key.sign(manifest_text(m)) + "\n");
  }
  AuditOutcome outcome() const {
    AuditOptions options;
    options.recompute = false;
    return audit_session(session(), options).outcome;
  }

  fs::path dir_;
};

TEST_F(AuditAgreement, FoldersThatAreLinkedAreRefused) {
  EXPECT_EQ(outcome(), AuditOutcome::not_recomputed);
  fs::rename(session() / "artefacts", dir_ / "elsewhere");
  fs::create_directory_symlink(dir_ / "elsewhere", session() / "artefacts");
  EXPECT_EQ(outcome(), AuditOutcome::differs);
  fs::remove(session() / "artefacts");
  EXPECT_EQ(outcome(), AuditOutcome::differs) << "missing";
  fs::rename(dir_ / "elsewhere", session() / "artefacts");
  EXPECT_EQ(outcome(), AuditOutcome::not_recomputed);
  put(session() / "limits.toml", "wider");
  EXPECT_EQ(outcome(), AuditOutcome::differs);
}

TEST_F(AuditAgreement, ItsManifestIsNoneOfTheWholeSession) {
  for (const char* name : {kManifestFile, kSignerFile, kSignatureFile})
    fs::rename(session() / kSealFolder / kAgreedFolder / name, session() / kSealFolder / name);
  fs::remove(session() / kSealFolder / kAgreedFolder);
  EXPECT_EQ(outcome(), AuditOutcome::differs);
}

}  // namespace
}  // namespace rigproof
