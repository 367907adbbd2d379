// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "models/item_table.h"

#include <QSortFilterProxyModel>

namespace fw {

/// Names as people count: S-9 before S-10. Negative: a first.
int naturalCompare(const QString& a, const QString& b);

/// Sorts numbers by value and names as people count (S-9 before S-10); unknown comes last either way. Keeps
/// rows that hold every word of the filter in any column.
class NaturalSort : public QSortFilterProxyModel {
    Q_OBJECT
public:
    explicit NaturalSort(QObject* parent = nullptr);
    void setWords(const QString& words);
    [[nodiscard]] const QStringList& words() const { return m_words; }

protected:
    bool lessThan(const QModelIndex& left, const QModelIndex& right) const override;
    bool filterAcceptsRow(int row, const QModelIndex& parent) const override;

private:
    QStringList m_words;
};

} // namespace fw
