#include "seal/signers.h"

#include <algorithm>
#include <sstream>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

bool is_key(const std::string& text) {
  return text.size() == 64 && std::ranges::all_of(text, [](char c) {
           return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
         });
}

}  // namespace

fs::path signers_file() { return home_folder() / "signers.txt"; }

std::vector<Signer> trusted_signers() {
  std::vector<Signer> out;
  std::error_code ec;
  if (!fs::exists(signers_file(), ec)) return out;
  std::istringstream in(read_text(signers_file()));
  int number = 0;
  for (std::string text; std::getline(in, text);) {
    ++number;
    if (text.empty() || text[0] == '#') continue;
    const std::string key = text.substr(0, text.find(' '));
    if (!is_key(key))
      throw Error(ErrorKind::config,
                  display(signers_file()) + ":" + std::to_string(number) +
                      ": does not begin with a public key of 64 hex digits",
                  "Write one signer a line: its key, a blank, a name.");
    const auto name = text.find_first_not_of(' ', key.size());
    out.push_back({key, name == std::string::npos ? "" : text.substr(name)});
  }
  return out;
}

void trust_signer(const Signer& signer) {
  const auto known = trusted_signers();
  if (std::ranges::find(known, signer.key, &Signer::key) != known.end()) return;
  std::error_code ec;
  std::string text = "# Public keys whose seals are trusted here, and whose they are.\n";
  if (fs::exists(signers_file(), ec)) text = read_text(signers_file());
  if (!text.empty() && text.back() != '\n') text += '\n';
  fs::create_directories(home_folder(), ec);
  write_atomically(signers_file(), text + signer.key + "  " + display(signer.name) + "\n");
}

}  // namespace rigproof
