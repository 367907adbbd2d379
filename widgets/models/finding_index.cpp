// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/finding_index.h"

#include "text/figures.h"

#include <algorithm>

namespace fw {

bool isOpen(const Finding& f) { return f.standing == Standing::open || f.standing == Standing::nowWorse; }

QString severityWord(Severity severity) { return coreText(wordFor(severity)); }
QString standingWord(Standing standing) { return coreText(wordFor(standing)); }

FindingIndex::FindingIndex(const Review& review) {
    for (std::size_t i = 0; i < review.findings.size(); ++i) {
        const Finding& f = review.findings[i];
        if (!isOpen(f)) continue;
        for (const ItemId id : f.subjects) m_about.emplace(id, About{i, f.severity});
    }
}

std::optional<Severity> FindingIndex::worst(std::span<const ItemId> ids) const {
    std::optional<Severity> out;
    for (const ItemId id : ids) {
        const auto [from, to] = m_about.equal_range(id);
        for (auto it = from; it != to; ++it)
            if (!out || *out < it->second.severity) out = it->second.severity;
    }
    return out;
}

FindingIndex::Count FindingIndex::count(std::span<const ItemId> ids) const {
    std::vector<std::size_t> seen;
    Count out;
    for (const ItemId id : ids) {
        const auto [from, to] = m_about.equal_range(id);
        for (auto it = from; it != to; ++it) {
            if (std::find(seen.begin(), seen.end(), it->second.finding) != seen.end()) continue;
            seen.push_back(it->second.finding);
            ++out.open;
            out.blocking += it->second.severity == Severity::block;
        }
    }
    return out;
}

} // namespace fw
