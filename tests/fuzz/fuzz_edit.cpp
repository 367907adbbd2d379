// SPDX-License-Identifier: GPL-3.0-or-later
// Any bytes as an edit: refused by a sentence, or an edit that comes back from its own bytes.
#include "plan/edit.h"

#include <cstdint>
#include <cstdlib>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto edit = fw::editFromBytes({data, data + size});
    if (!edit) {
        if (edit.error().text.size() < 10) std::abort();
        return 0;
    }
    const auto bytes = fw::toBytes(*edit);
    const auto again = fw::editFromBytes(bytes);
    // By bytes: a value that is no number equals nothing, not even itself.
    if (!again || fw::toBytes(*again) != bytes) std::abort();
    fw::Plan plan;
    (void)fw::apply(plan, *edit);
    return 0;
}
