// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "intake/kinds.h"
#include "intake/source.h"

namespace fw {

/// What a file most likely holds, by its geometry, its headers and its name; nothing where no kind could use
/// it. A guess: the user may say otherwise.
std::optional<IntakeKind> guessKind(const SourceHead& head);

} // namespace fw
