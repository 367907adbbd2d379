// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/findings_model.h"

#include "models/finding_index.h"
#include "models/finding_text.h"
#include "models/item_table.h"
#include "models/stage.h"
#include "review/rule.h"
#include "text/figures.h"

#include <algorithm>
#include <tuple>

namespace fw {

namespace {

int groupOf(const Finding& f) {
    if (isOpen(f)) return 0;
    return f.standing == Standing::stands ? 1 : 2;
}

int ruleIndex(const std::string& id) {
    const auto& table = rules();
    const auto it = std::find_if(table.begin(), table.end(), [&](const Rule& r) { return r.id == id; });
    return static_cast<int>(it - table.begin());
}

} // namespace

bool sameFinding(const Finding& a, const Finding& b) { return a.rule == b.rule && a.subjects == b.subjects; }

std::vector<ItemId> relatedTo(const Plan& plan, ItemId item) {
    if (plan.mounts.find(item)) return familyOf(plan, item);
    std::vector<ItemId> out{item};
    const Chain c = rowChain(plan, item);
    for (const ItemId id : {c.mount, c.radio, c.smallCell, c.site, c.sector, c.cell})
        if (id && id != item) out.push_back(id);
    if (plan.radios.find(item))
        for (const SmallCell& s : plan.smallCells)
            if (s.radio == item) out.push_back(s.id);
    if (const Sector* s = plan.sectors.find(item)) out.push_back(s->site);
    if (plan.macroSites.find(item))
        for (const Sector& s : plan.sectors)
            if (s.site == item) out.push_back(s.id);
    return out;
}

bool FindingsModel::Row::before(const Row& o) const {
    return std::tie(group, o.finding.severity, rule, finding.subjects) <
           std::tie(o.group, finding.severity, o.rule, o.finding.subjects);
}
bool FindingsModel::Row::samePlace(const Row& o) const { return !before(o) && !o.before(*this); }

FindingsModel::Row FindingsModel::rowOf(const Finding& f) { return {groupOf(f), ruleIndex(f.rule), f}; }

FindingsModel::FindingsModel(Workspace& space, QObject* parent) : QAbstractListModel(parent), m_space(space) {
    connect(&space.live, &LiveStudy::shownChanged, this, &FindingsModel::follow);
    connect(&space.selection, &Selection::changed, this, &FindingsModel::follow);
    connect(&space.document, &PlanDocument::planChanged, this, &FindingsModel::follow);
    follow();
}

int FindingsModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(m_rows.size());
}

QVariant FindingsModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) return {};
    const Finding& f = at(index.row());
    const Plan& plan = m_space.document.plan();
    switch (role) {
    case Qt::DisplayRole:
        return coreText(f.text);
    case Qt::ToolTipRole:
        return findingText(plan, f).trimmed();
    case Qt::AccessibleTextRole:
        return tr("%1, %2: %3").arg(severityWord(f.severity), standingWord(f.standing), coreText(f.text));
    case SubjectRole:
        return f.subjects.empty() ? 0u : f.subjects.front().v;
    default:
        return {};
    }
}

int FindingsModel::rowLike(const Finding& finding) const {
    for (int r = 0; r < rowCount(); ++r)
        if (sameFinding(at(r), finding)) return r;
    return -1;
}

std::vector<ItemId> FindingsModel::about() const {
    std::vector<ItemId> out;
    for (const ItemId id : m_space.selection.items()) {
        const auto more = relatedTo(m_space.document.plan(), id);
        out.insert(out.end(), more.begin(), more.end());
    }
    std::sort(out.begin(), out.end());
    return out;
}

std::vector<Finding> FindingsModel::openFindings() const {
    std::vector<Finding> out;
    for (const Finding& f : m_space.live.review().findings)
        if (isOpen(f)) out.push_back(f);
    return out;
}

void FindingsModel::follow() {
    const std::vector<ItemId> ids = about();
    m_all = m_space.selection.empty();
    const auto wanted = [&](const std::vector<ItemId>& subjects) {
        return m_all || std::any_of(subjects.begin(), subjects.end(), [&](ItemId id) {
                   return std::binary_search(ids.begin(), ids.end(), id);
               });
    };
    std::vector<Row> now;
    const Review& review = m_space.live.review();
    for (const Finding& f : review.findings)
        if (wanted(f.subjects)) now.push_back(rowOf(f));
    for (const ItemId id : review.staleWaivers)
        if (const Waiver* w = m_space.document.plan().waivers.find(id); w && wanted(w->subjects))
            now.push_back(rowOf(staleFinding(*w)));
    emit following();
    const auto before = [](const Row& a, const Row& b) { return a.before(b); };
    std::stable_sort(now.begin(), now.end(), before);
    now.erase(std::unique(now.begin(), now.end(), [](const Row& a, const Row& b) { return a.samePlace(b); }),
              now.end());
    for (int r = rowCount() - 1; r >= 0; --r)
        if (!std::binary_search(now.begin(), now.end(), m_rows[static_cast<std::size_t>(r)], before)) {
            beginRemoveRows({}, r, r);
            m_rows.erase(m_rows.begin() + r);
            endRemoveRows();
        }
    for (std::size_t i = 0; i < now.size(); ++i) {
        const int r = static_cast<int>(i);
        if (i < m_rows.size() && m_rows[i].samePlace(now[i])) {
            if (m_rows[i].finding == now[i].finding) continue;
            m_rows[i] = std::move(now[i]);
            emit dataChanged(index(r), index(r));
        } else {
            beginInsertRows({}, r, r);
            m_rows.insert(m_rows.begin() + r, std::move(now[i]));
            endInsertRows();
        }
    }
    emit followed();
}

} // namespace fw
