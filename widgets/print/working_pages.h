// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "print/flow.h"

#include "delivery/pack_content.h"

namespace fw {

/// How the figures of cover and sheets came about, on pages of their own: inputs, steps and sources.
void printWorkings(Flow& flow, const PackContent& content);

} // namespace fw
