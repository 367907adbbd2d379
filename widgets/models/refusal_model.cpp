// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/refusal_model.h"

#include "text/figures.h"

#include <QLocale>

namespace fw {

void RefusalModel::setPreview(std::shared_ptr<const IntakePreview> preview) {
    beginResetModel();
    m_preview = std::move(preview);
    endResetModel();
}

int RefusalModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() || !m_preview ? 0 : static_cast<int>(m_preview->refusals.size());
}

int RefusalModel::columnCount(const QModelIndex& parent) const { return parent.isValid() ? 0 : 4; }

QVariant RefusalModel::data(const QModelIndex& index, int role) const {
    if (!index.isValid() || !m_preview) return {};
    const RefusedRow& r = m_preview->refusals[static_cast<std::size_t>(index.row())];
    if (role == Qt::TextAlignmentRole && index.column() == 0)
        return QVariant::fromValue(Qt::Alignment(Qt::AlignRight | Qt::AlignVCenter));
    if (role != Qt::DisplayRole && role != Qt::ToolTipRole) return {};
    switch (index.column()) {
    case 0:
        return QLocale().toString(qlonglong(r.row));
    case 1:
        return QString::fromStdString(r.column);
    case 2:
        return QString::fromStdString(r.value);
    default:
        return coreText(r.reason);
    }
}

QVariant RefusalModel::headerData(int section, Qt::Orientation way, int role) const {
    if (way != Qt::Horizontal || role != Qt::DisplayRole) return {};
    switch (section) {
    case 0:
        return m_preview && m_preview->head.format == "text" ? tr("Line") : tr("Row");
    case 1:
        return tr("Column");
    case 2:
        return tr("Value");
    default:
        return tr("Why it is refused");
    }
}

} // namespace fw
