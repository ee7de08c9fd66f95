#pragma once

#include "assess/results.h"

namespace rigproof {

enum class SampleCase { within, outside, undecided, invalid };

/// An invented session of 23 scans on an invented rig: 8 balls, 7 bars and the closing repeat, 6
/// plates, one withdrawn scan. Same call, same numbers. `copies` repeats the ball positions to make
/// long tables.
Results sample_results(SampleCase verdict = SampleCase::within, int extra_balls = 0);

}  // namespace rigproof
