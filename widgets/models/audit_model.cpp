// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/audit_model.h"

#include "models/finding_index.h"
#include "models/finding_text.h"
#include "text/figures.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

// Counts ("3 sectors") are whole; what has the sign of a unit is measured.
bool isCount(const Quantity& q) {
    constexpr std::size_t kLongestSign = 3;
    return q.unit.size() > kLongestSign && q.value == std::floor(q.value);
}

} // namespace

QString measuredText(const AuditFinding& f) {
    const bool counts = isCount(f.measured);
    QString measured = counts ? figure(f.measured.value, QString::fromStdString(f.measured.unit), 0)
                              : quantityText(f.measured);
    if (f.measured == f.limit) return measured;
    return AuditModel::tr("%1, limit %2")
        .arg(measured, counts && isCount(f.limit) ? figure(f.limit.value, {}, 0) : quantityText(f.limit));
}

AuditModel::AuditModel(PlanDocument& document, QObject* parent)
    : QAbstractTableModel(parent), m_document(document) {}

void AuditModel::setFindings(std::vector<AuditFinding> findings) {
    std::vector<bool> ticks(findings.size(), false);
    for (const std::size_t old : ticked())
        for (std::size_t k = 0; k < findings.size(); ++k)
            if (findings[k] == m_findings[old]) ticks[k] = true;
    beginResetModel();
    m_findings = std::move(findings);
    m_ticked = std::move(ticks);
    endResetModel();
    emit ticksChanged();
}

void AuditModel::setTicked(int row, bool ticked) {
    if (!canTick(row) || m_ticked[static_cast<std::size_t>(row)] == ticked) return;
    m_ticked[static_cast<std::size_t>(row)] = ticked;
    emit dataChanged(index(row, Tick), index(row, Tick), {Qt::CheckStateRole});
    emit ticksChanged();
}

void AuditModel::tickAll(bool ticked) {
    for (int r = 0; r < rowCount(); ++r) setTicked(r, ticked);
}

std::vector<std::size_t> AuditModel::ticked() const {
    std::vector<std::size_t> out;
    for (std::size_t k = 0; k < m_ticked.size(); ++k)
        if (m_ticked[k]) out.push_back(k);
    return out;
}

int AuditModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(m_findings.size());
}
int AuditModel::columnCount(const QModelIndex& parent) const { return parent.isValid() ? 0 : ColumnCount; }

Qt::ItemFlags AuditModel::flags(const QModelIndex& index) const {
    Qt::ItemFlags f = Qt::ItemIsEnabled | Qt::ItemIsSelectable;
    if (index.isValid() && index.column() == Tick && canTick(index.row())) f |= Qt::ItemIsUserCheckable;
    return f;
}

QString AuditModel::title(const AuditFinding& finding) {
    const auto checks = auditChecks();
    const auto it = std::find_if(checks.begin(), checks.end(),
                                 [&](const AuditCheck& c) { return c.id == finding.check; });
    QString text = coreText(it == checks.end() ? finding.check : std::string(it->title));
    if (!text.isEmpty()) text[0] = text[0].toUpper();
    return text;
}

QString AuditModel::where(const AuditFinding& finding) const {
    constexpr std::size_t kShown = 2;
    QStringList names;
    for (std::size_t k = 0; k < std::min(kShown, finding.subjects.size()); ++k)
        names << QString::fromStdString(m_document.plan().label(finding.subjects[k]));
    const QString list = names.join(tr(", ", "between names"));
    const auto more = static_cast<int>(finding.subjects.size()) - static_cast<int>(names.size());
    return more > 0 ? tr("%1 and %n more", nullptr, more).arg(list) : list;
}

QString AuditModel::words(const AuditFinding& f, int column) const {
    switch (column) {
    case What:
        return tr("%1 \u00b7 %2").arg(severityWord(f.severity), title(f));
    case Where:
        return where(f);
    case Measured:
        return measuredText(f);
    case Proposal:
        return f.edit ? coreText(f.proposal) : tr("For you: %1").arg(coreText(f.proposal));
    default:
        return {};
    }
}

QVariant AuditModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) return {};
    const AuditFinding& f = at(index.row());
    switch (role) {
    case Qt::CheckStateRole:
        if (index.column() != Tick || !canTick(index.row())) return {};
        return m_ticked[static_cast<std::size_t>(index.row())] ? Qt::Checked : Qt::Unchecked;
    case Qt::DisplayRole:
        return words(f, index.column());
    case Qt::ToolTipRole:
        return index.column() == Tick ? canTick(index.row()) ? tr("Tick to apply the proposal")
                                                             : tr("Cannot be applied: it is for you to do")
                                      : coreText(f.text);
    case Qt::AccessibleTextRole:
        if (index.column() == Tick)
            return canTick(index.row()) ? tr("Apply the proposal: %1").arg(coreText(f.proposal))
                                        : tr("Cannot be applied");
        if (index.column() == What) return tr("%1: %2").arg(severityWord(f.severity), coreText(f.text));
        return words(f, index.column());
    default:
        return {};
    }
}

bool AuditModel::setData(const QModelIndex& index, const QVariant& value, int role) {
    if (!index.isValid() || role != Qt::CheckStateRole || !canTick(index.row())) return false;
    setTicked(index.row(), value.toInt() == Qt::Checked);
    return true;
}

QVariant AuditModel::headerData(int section, Qt::Orientation way, int role) const {
    if (way != Qt::Horizontal || role != Qt::DisplayRole) return {};
    switch (section) {
    case Tick:
        return tr("Apply");
    case What:
        return tr("What");
    case Where:
        return tr("Where");
    case Measured:
        return tr("Measured");
    default:
        return tr("Proposal");
    }
}

} // namespace fw
