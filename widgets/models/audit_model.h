// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/plan_document.h"
#include "intake/inventory_audit.h"

#include <QAbstractTableModel>

#include <vector>

namespace fw {

/// Findings of an audit as rows: tick, what, where, measured, proposal. Only proposals that can be applied
/// have a tick; nothing is ticked beforehand.
class AuditModel : public QAbstractTableModel {
    Q_OBJECT
public:
    enum Column { Tick, What, Where, Measured, Proposal, ColumnCount };

    explicit AuditModel(PlanDocument& document, QObject* parent = nullptr);

    /// Shows other findings. Ticks stay on proposals that are still the same.
    void setFindings(std::vector<AuditFinding> findings);
    [[nodiscard]] const std::vector<AuditFinding>& findings() const { return m_findings; }
    [[nodiscard]] const AuditFinding& at(int row) const { return m_findings[static_cast<std::size_t>(row)]; }
    [[nodiscard]] bool canTick(int row) const { return at(row).edit.has_value(); }
    void setTicked(int row, bool ticked);
    void tickAll(bool ticked);
    /// Rows, ascending.
    [[nodiscard]] std::vector<std::size_t> ticked() const;

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    bool setData(const QModelIndex& index, const QVariant& value, int role) override;
    [[nodiscard]] Qt::ItemFlags flags(const QModelIndex& index) const override;
    [[nodiscard]] QVariant headerData(int section, Qt::Orientation way, int role) const override;

    /// "Height zero or absurd".
    [[nodiscard]] static QString title(const AuditFinding& finding);
    /// "PM07-2, PM07-3 and 4 more"; empty where it is about no item.
    [[nodiscard]] QString where(const AuditFinding& finding) const;

signals:
    void ticksChanged();

private:
    [[nodiscard]] QString words(const AuditFinding& f, int column) const;
    PlanDocument& m_document;
    std::vector<AuditFinding> m_findings;
    std::vector<bool> m_ticked;
};

/// "0.0 m, limit 3.0 m".
QString measuredText(const AuditFinding& finding);

} // namespace fw
