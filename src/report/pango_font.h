#pragma once

// Internal to the pango adapters of this room.

#include <memory>

#include <pango/pangocairo.h>

#include "report/canvas.h"

namespace rigproof {

struct GObjectRelease {
  void operator()(void* object) const { g_object_unref(object); }
};
using LayoutHandle = std::unique_ptr<PangoLayout, GObjectRelease>;

/// Sets font and size, in points of the surface (1 user unit = 1 pt).
void set_font(PangoLayout* layout, const TextStyle& style);

/// Throws Error(internal) unless the font map yields a real font with glyphs.
void require_font(PangoLayout* layout);

}  // namespace rigproof
