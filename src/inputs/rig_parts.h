#pragma once

#include "inputs/rig.h"
#include "inputs/toml_reader.h"
#include "inputs/toml_writer.h"

namespace rigproof {

// Parts of a rig file, each read from the root table and written to the end of the file so far.

/// `axes` in words, or `transform`: 4 × 4, rigid, determinant +1, mm.
void read_axes(const TomlTable& root, Rig& rig);
void write_axes(TomlWriter& writer, const Rig& rig);

/// [stereo], or [tape]: what a tape measure, a lens and a data sheet say.
void read_stereo(const TomlTable& root, Rig& rig);
void write_stereo(TomlWriter& writer, const Rig& rig);

}  // namespace rigproof
