// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "review/review.h"

#include <QString>

#include <optional>
#include <span>
#include <vector>

namespace fw {

/// Open findings of a review by what they are about.
class FindingIndex {
public:
    FindingIndex() = default;
    explicit FindingIndex(const Review& review);
    /// The gravest open finding about any of these; empty when there is none.
    [[nodiscard]] std::optional<Severity> worst(std::span<const ItemId> ids) const;
    /// How many open findings are about any of these.
    [[nodiscard]] int count(std::span<const ItemId> ids) const;

private:
    struct About {
        ItemId item;
        std::size_t finding;
        Severity severity;
    };
    [[nodiscard]] std::span<const About> about(ItemId item) const;
    std::vector<About> m_about; ///< by item
};

/// "block", "warn", "note" for people.
QString severityWord(Severity severity);
/// "open", "stands", "now worse", "stale" for people.
QString standingWord(Standing standing);

} // namespace fw
