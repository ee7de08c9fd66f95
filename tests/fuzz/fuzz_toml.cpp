// One kind of TOML file: any bytes are read or refused as a wrong configuration; what is read and
// written again reads back as the same.
#include <cstdlib>

#include "base/error.h"
#include "fuzz/file_for.h"
#include "inputs/issuer.h"
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
#endif

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace rigproof;
  try {
#if defined(LOAD)
    const auto value = LOAD(file_for(".toml", data, size));
    const std::string text = to_toml(value);
    const auto* bytes = reinterpret_cast<const std::uint8_t*>(text.data());
    if (to_toml(LOAD(file_for(".toml", bytes, text.size()))) != text) std::abort();
#else
    // A session is a folder; its file is the one that differs.
    static const std::filesystem::path folder =
        "/dev/shm/rigproof_fuzz_session_" + std::to_string(::getpid());
    static const bool made = std::filesystem::create_directories(folder / "scans");
    static const bool removed_at_exit =
        std::atexit([] { std::filesystem::remove_all(folder); }) == 0;
    if (!made || !removed_at_exit) std::abort();
    std::filesystem::copy_file(file_for(".toml", data, size),
                               folder / "session.toml",
                               std::filesystem::copy_options::overwrite_existing);
    load_session(folder);
#endif
  } catch (const Error& error) {
    if (error.kind() == ErrorKind::internal) std::abort();
  }
  return 0;
}
