// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/natural_sort.h"

#include <algorithm>

namespace fw {

NaturalSort::NaturalSort(QObject* parent) : QSortFilterProxyModel(parent) {
    m_order.setNumericMode(true);
    m_order.setCaseSensitivity(Qt::CaseInsensitive);
    setSortRole(ItemTable::SortRole);
    setDynamicSortFilter(true);
}

void NaturalSort::setWords(const QString& words) {
    const QStringList now = words.split(QLatin1Char(' '), Qt::SkipEmptyParts);
    if (now == m_words) return;
    m_words = now;
    invalidateFilter();
}

bool NaturalSort::lessThan(const QModelIndex& left, const QModelIndex& right) const {
    const QVariant a = left.data(sortRole()), b = right.data(sortRole());
    const bool up = sortOrder() == Qt::AscendingOrder;
    if (!a.isValid() || !b.isValid()) return a.isValid() != b.isValid() ? a.isValid() == up : false;
    if (a.userType() == QMetaType::QString && b.userType() == QMetaType::QString) {
        const int c = m_order.compare(a.toString(), b.toString());
        if (c != 0) return c < 0;
    } else if (a.toDouble() != b.toDouble()) {
        return a.toDouble() < b.toDouble();
    }
    return false;
}

bool NaturalSort::filterAcceptsRow(int row, const QModelIndex& parent) const {
    const int columns = sourceModel()->columnCount(parent);
    return std::all_of(m_words.begin(), m_words.end(), [&](const QString& word) {
        for (int c = 0; c < columns; ++c)
            if (sourceModel()->index(row, c, parent).data().toString().contains(word, Qt::CaseInsensitive))
                return true;
        return false;
    });
}

} // namespace fw
