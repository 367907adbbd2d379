// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/finding_index.h"

#include "text/figures.h"

#include <algorithm>

namespace fw {

QString severityWord(Severity severity) { return coreText(wordFor(severity)); }
QString standingWord(Standing standing) { return coreText(wordFor(standing)); }

FindingIndex::FindingIndex(const Review& review) {
    for (std::size_t i = 0; i < review.findings.size(); ++i) {
        const Finding& f = review.findings[i];
        if (!isOpen(f)) continue;
        for (const ItemId id : f.subjects) m_about.push_back({id, i, f.severity});
    }
    std::sort(m_about.begin(), m_about.end(), [](const About& a, const About& b) {
        return a.item != b.item ? a.item < b.item : a.finding < b.finding;
    });
}

std::span<const FindingIndex::About> FindingIndex::about(ItemId item) const {
    const auto from = std::lower_bound(m_about.begin(), m_about.end(), item,
                                       [](const About& a, ItemId id) { return a.item < id; });
    const auto to = std::find_if(from, m_about.end(), [item](const About& a) { return a.item != item; });
    return {from, to};
}

std::optional<Severity> FindingIndex::worst(std::span<const ItemId> ids) const {
    std::optional<Severity> out;
    for (const ItemId id : ids) {
        for (const About& a : about(id))
            if (!out || *out < a.severity) out = a.severity;
    }
    return out;
}

int FindingIndex::count(std::span<const ItemId> ids) const {
    std::vector<std::size_t> seen;
    for (const ItemId id : ids)
        for (const About& a : about(id)) seen.push_back(a.finding);
    std::sort(seen.begin(), seen.end());
    return static_cast<int>(std::unique(seen.begin(), seen.end()) - seen.begin());
}

} // namespace fw
