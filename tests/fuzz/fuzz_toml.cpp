// One kind of TOML file: any bytes are read or refused as a wrong configuration; what is read and
// written again reads back as the same.
#include <cstdlib>

#include "base/error.h"
#include "fuzz/file_for.h"
#include "inputs/issuer.h"
#include "inputs/plan_file.h"
#include "inputs/session.h"

#if defined(KIND_rig)
#define LOAD load_rig
#elif defined(KIND_artefact)
#define LOAD load_artefact
#elif defined(KIND_limits)
#define LOAD load_limits
#elif defined(KIND_procedure)
#define LOAD load_procedure
#elif defined(KIND_issuer)
#define LOAD load_issuer
#elif defined(KIND_plan)
#define LOAD load_positions
#endif

#if defined(KIND_session)
/// What a session holds beside its file: one scan, one artefact, limits.
static bool make_session_folder() {
  using namespace rigproof;
  namespace fs = std::filesystem;
  const fs::path& folder = fuzz_folder();
  return fs::create_directory(folder / "scans") && fs::create_directory(folder / "artefacts") &&
         fs::copy_file(find_input("artefacts", "bar-250-07"), folder / "artefacts/bar.toml") &&
         fs::copy_file(find_input("limits", "R12-agreed"), folder / "limits.toml") &&
         fs::copy_file(find_input("limits", "R12-agreed"), folder / "scans/scan007.stl");
}
#endif

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace rigproof;
  try {
#if defined(LOAD)
    const auto value = LOAD(file_for("input.toml", data, size));
    const std::string text = to_toml(value);
    const auto* bytes = reinterpret_cast<const std::uint8_t*>(text.data());
    if (to_toml(LOAD(file_for("input.toml", bytes, text.size()))) != text) std::abort();
#else
    // A session is a folder; its file is the one that differs.
    static const bool made = make_session_folder();
    if (!made) std::abort();
    const Session session = load_session(file_for("session.toml", data, size).parent_path());
    const std::string text = to_toml(session);
    const auto* bytes = reinterpret_cast<const std::uint8_t*>(text.data());
    const auto& file = file_for("session.toml", bytes, text.size());
    if (to_toml(load_session(file.parent_path())) != text) std::abort();
#endif
  } catch (const Error& error) {
    if (error.kind() == ErrorKind::internal) std::abort();
  }
  return 0;
}
