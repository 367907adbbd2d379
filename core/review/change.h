// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "review/rule.h"

namespace fw {

/// What changed, as far as rules care; empty when more than mounts, radios and small cells did and everything
/// must be looked at again.
std::optional<ReviewChange> changeBetween(const Study& before, const Study& now, const Neighbours& near);

} // namespace fw
