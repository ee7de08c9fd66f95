#pragma once

#include "scan/source.h"

namespace rigproof {

bool is_gzip(const Bytes& bytes);
/// All members unpacked, their check sums verified. Output beyond 200 times the input (and 64 MiB),
/// or beyond half the machine's memory, is refused: no scan packs so well. Throws Error(data).
std::shared_ptr<const Bytes> unpack_gzip(const SourceInput& input);

}  // namespace rigproof
