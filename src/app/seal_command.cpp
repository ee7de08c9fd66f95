#include "app/seal_command.h"

#include <memory>
#include <optional>

#include <fmt/format.h>

#include "app/certificate_renderer.h"
#include "app/console.h"
#include "base/error.h"
#include "base/folder.h"
#include "base/input_file.h"
#include "inputs/session.h"
#include "inputs/session_folder.h"
#include "record/history.h"
#include "seal/before_seal.h"
#include "seal/seal.h"
#include "seal/signers.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

struct SealCommandOptions {
  std::string where = ".", key, by;
};

bool is_there(const fs::path& file) {
  std::error_code ec;
  return fs::symlink_status(file, ec).type() != fs::file_type::not_found;
}

/// nullopt when another run made one meanwhile. Trusted before it stands under its name: no stop
/// leaves a key that is never trusted.
std::optional<SigningKey> make_key(const fs::path& file, const std::string& by) {
  std::error_code ec;
  if (file.has_parent_path()) fs::create_directories(file.parent_path(), ec);
  try {
    return SigningKey::create(file, [&](const std::string& key) { trust_signer({key, by}); });
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::cannot_create || !is_there(file)) throw;
    return std::nullopt;
  }
}

/// The key, made when absent; who makes one is trusted here.
SigningKey key_of(const fs::path& file, const std::string& by, const Console& console) {
  if (is_there(file)) return SigningKey::load(file);
  if (auto key = make_key(file, by)) {
    console.talk("Made the key " + display(file) + "; keep it to yourself and keep a copy.");
    console.talk("Its public key, for whoever checks: " + key->public_hex());
    return std::move(*key);
  }
  return SigningKey::load(file);  // whoever made it trusted it before it had its name
}

int run_seal(const SealCommandOptions& o, Console& console) {
  if (o.by.find_first_not_of(' ') == std::string::npos)
    throw Error(ErrorKind::usage, "nobody authorises", "Name the person: --by \"A. Name\".");
  const FolderLock lock(o.where, FolderLock::Kind::alone);
  refuse_sealed(o.where);
  const fs::path file = o.key.empty() ? home_folder() / "keys" / "seal.key" : fs::path(o.key);
  if (is_inside(o.where, file))
    throw Error(ErrorKind::usage,
                display(file) + ": a key never lies in the session it signs",
                "Name a file elsewhere with --key.");
  if (!is_there(file)) refuse_sealed(file);
  check_before_seal(load_session(o.where), o.by);  // and no key is made
  const SigningKey key = key_of(file, o.by, console);
  const SealOutcome outcome =
      seal_session({o.where, o.by, utc_now(), certificate_renderer(o.where)}, key);
  const bool agreed = outcome.stage == "agreed";
  if (console.json) {
    console.result(
        fmt::format(R"({{"stage": "{}", "files": {}, "key": "{}", "manifest_sha256": "{}"}})",
                    outcome.stage,
                    outcome.files,
                    key.public_hex(),
                    outcome.manifest_sha256));
    return exit_within;
  }
  console.result(fmt::format("{}: {} files signed with key {}",
                             agreed ? "Limits and plan sealed" : "Sealed",
                             outcome.files,
                             key.public_hex()));
  console.result(agreed ? "Next: scan, then rigproof assess and rigproof seal."
                        : "Next: rigproof bundle " + display(o.where) +
                              " makes the customer's folder.");
  return exit_within;
}

}  // namespace

Command seal_command() {
  auto o = std::make_shared<SealCommandOptions>();
  return {"seal",
          "Sign every file of a session and authorise its certificate.",
          {"rigproof seal 2026-03-14-R12-300-acceptance --key ~/keys/lab.key --by \"A. Name\"",
           "rigproof seal SESSION --by \"A. Name\"   (before the first scan: limits and plan)",
           "rigproof seal --by \"A. Name\" --json"},
          {{"SESSION", "SESSION", "a session folder (default: this one)", &o->where},
           {"--by", "NAME", "who authorises; stands on the certificate", &o->by, true},
           {"--key",
            "FILE",
            "the signing key, made when absent (default: keys/seal.key in the home "
            "folder of rigproof)",
            &o->key}},
          "0 sealed · 64–78 errors",
          [o](Console& console) { return run_seal(*o, console); }};
}

}  // namespace rigproof
