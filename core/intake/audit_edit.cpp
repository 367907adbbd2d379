// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/audit_edit.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <set>

namespace fw {

namespace {

std::set<ItemId> touchedBy(const Edit& edit) {
    std::set<ItemId> ids;
    for (const Change& c : edit.changes) {
        if (const auto* put = std::get_if<Put>(&c)) ids.insert(idOf(put->item));
        if (const auto* gone = std::get_if<Remove>(&c)) ids.insert(gone->id);
        if (const auto* all = std::get_if<PutBuildings>(&c))
            for (const Building& b : *all->buildings) ids.insert(b.id);
        if (const auto* all = std::get_if<RemoveBuildings>(&c))
            ids.insert(all->ids->begin(), all->ids->end());
        if (std::holds_alternative<PutSettings>(c)) ids.insert(ItemId{}); // no item has that
    }
    return ids;
}

// What the proposals of one round change and speak of. Those of one check go together (inventory_audit.h) as
// long as no item is changed twice; those of different checks where neither changes what the other speaks of.
class Round {
public:
    bool takes(const AuditFinding& f) {
        const std::set<ItemId> ids = touchedBy(*f.edit);
        const bool clash =
            std::any_of(ids.begin(), ids.end(),
                        [&](ItemId id) { return m_changed.contains(id) || spokenOf(id, f.check); }) ||
            std::any_of(f.subjects.begin(), f.subjects.end(), [&](ItemId id) {
                const auto it = m_changed.find(id);
                return it != m_changed.end() && it->second != f.check;
            });
        if (clash) return false;
        for (const ItemId id : ids) m_changed.emplace(id, f.check);
        for (const ItemId id : f.subjects) m_subjects[id].insert(f.check);
        edit.changes.insert(edit.changes.end(), f.edit->changes.begin(), f.edit->changes.end());
        return true;
    }
    Edit edit;

private:
    [[nodiscard]] bool spokenOf(ItemId id, const std::string& check) const {
        const auto it = m_subjects.find(id);
        return it != m_subjects.end() && (it->second.size() > 1 || !it->second.contains(check));
    }
    std::map<ItemId, std::string> m_changed; ///< by which check
    std::map<ItemId, std::set<std::string>> m_subjects;
};

const AuditFinding* sameAs(const AuditFinding& wanted, const std::vector<AuditFinding>& findings) {
    const auto it = std::find_if(findings.begin(), findings.end(), [&](const AuditFinding& f) {
        return f.check == wanted.check && f.subjects == wanted.subjects && f.proposal == wanted.proposal &&
               f.edit;
    });
    return it == findings.end() ? nullptr : &*it;
}

Status fit(const std::vector<AuditFinding>& findings, std::vector<std::size_t>& chosen) {
    std::sort(chosen.begin(), chosen.end());
    chosen.erase(std::unique(chosen.begin(), chosen.end()), chosen.end());
    if (chosen.empty()) return Error{ErrorCode::badInput, "No proposal is chosen."};
    for (const std::size_t k : chosen) {
        if (k >= findings.size())
            return Error{ErrorCode::badInput,
                         fmt::format("There is no finding {}; the audit has {}.", k + 1, findings.size())};
        if (!findings[k].edit)
            return Error{ErrorCode::badInput,
                         fmt::format("Finding {} cannot be applied; somebody has to see to it: {}", k + 1,
                                     findings[k].proposal)};
    }
    return Done{};
}

} // namespace

Result<AuditEdit> auditEdit(const Plan& plan, const AuditEvidence& evidence,
                            const std::vector<AuditFinding>& findings, std::vector<std::size_t> chosen) {
    if (Status s = fit(findings, chosen); !s.ok()) return s.error();
    AuditEdit out;
    Plan now = plan;
    std::vector<AuditFinding> latest = findings;
    while (!chosen.empty()) {
        Round round;
        std::vector<std::size_t> waiting;
        for (const std::size_t k : chosen) {
            const AuditFinding* f = sameAs(findings[k], latest);
            if (!f)
                out.left.push_back(k);
            else if (round.takes(*f))
                out.applied.push_back(k);
            else
                waiting.push_back(k);
        }
        if (auto done = apply(now, round.edit); !done.ok()) return done.error();
        auto& all = out.edit.changes;
        all.insert(all.end(), round.edit.changes.begin(), round.edit.changes.end());
        chosen = std::move(waiting);
        if (!chosen.empty()) latest = auditInventory(now, evidence);
    }
    std::sort(out.applied.begin(), out.applied.end());
    std::sort(out.left.begin(), out.left.end());
    out.edit.text = out.applied.size() == 1
                        ? findings[out.applied.front()].edit->text
                        : fmt::format("Apply {} proposals of the inventory audit", out.applied.size());
    return out;
}

} // namespace fw
