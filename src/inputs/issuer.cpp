#include "inputs/issuer.h"

#include <algorithm>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "inputs/session.h"
#include "inputs/toml_reader.h"
#include "inputs/toml_writer.h"

namespace rigproof {
namespace {

constexpr char kFile[] = "issuer.toml";

/// Two small letters, as in ISO 639-1.
bool is_language(const std::string& text) {
  return text.size() == 2 && std::ranges::all_of(text, [](char c) { return c >= 'a' && c <= 'z'; });
}

}  // namespace

Issuer load_issuer(const std::filesystem::path& file) {
  const TomlTable t = TomlTable::load(file);
  Issuer issuer;
  issuer.name = t.text("name");
  issuer.address = t.texts("address", 12);
  issuer.place_of_test = t.text("place_of_test", "");
  if (t.has("languages")) issuer.languages = t.texts("languages", 10);
  if (issuer.languages.empty() || !std::ranges::all_of(issuer.languages, is_language))
    t.fail_at("languages",
              "\"languages\" must be a list of two-letter words",
              "Write it as languages = [\"en\", \"de\"].");
  issuer.paper = t.word("paper", {"A4", "Letter"}, issuer.paper);
  issuer.units = t.word("units", {"mm", "inch"}, issuer.units);
  issuer.accreditation = t.text("accreditation", "");
  t.finish();
  return issuer;
}

std::string to_toml(const Issuer& issuer) {
  TomlWriter w;
  w.line("name = " + toml_text(issuer.name));
  w.line("address = " + toml_texts(issuer.address));
  w.text("place_of_test", issuer.place_of_test);
  w.line("languages = " + toml_texts(issuer.languages));
  w.text("paper", issuer.paper);
  w.text("units", issuer.units);
  w.text("accreditation", issuer.accreditation);
  return w.str();
}

std::optional<Issuer> home_issuer() {
  const auto file = home_folder() / kFile;
  std::error_code ec;
  if (!std::filesystem::exists(file, ec)) return std::nullopt;
  return load_issuer(file);
}

void save_home_issuer(const Issuer& issuer) {
  std::error_code ec;
  std::filesystem::create_directories(home_folder(), ec);
  if (ec)
    throw Error(ErrorKind::cannot_create,
                display(home_folder()) + ": cannot be created: " + ec.message(),
                "Set RIGPROOF_HOME to a folder where you may write.");
  write_atomically(home_folder() / kFile, to_toml(issuer));
}

}  // namespace rigproof
