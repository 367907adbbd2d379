// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/natural_sort.h"

#include <algorithm>

namespace fw {

namespace {

// A run of digits or of anything else, from `at` on.
QStringView runOf(QStringView text, qsizetype at) {
    qsizetype end = at + 1;
    while (end < text.size() && text[end].isDigit() == text[at].isDigit()) ++end;
    return text.mid(at, end - at);
}

// Two runs of digits by their number.
int byNumber(QStringView a, QStringView b) {
    while (a.size() > 1 && a.front().digitValue() == 0) a = a.mid(1);
    while (b.size() > 1 && b.front().digitValue() == 0) b = b.mid(1);
    if (a.size() != b.size()) return a.size() < b.size() ? -1 : 1;
    return a.compare(b);
}

} // namespace

// QCollator's numeric mode is not there in the C locale.
int naturalCompare(const QString& a, const QString& b) {
    for (qsizetype i = 0, j = 0; i < a.size() || j < b.size();) {
        if (i >= a.size()) return -1;
        if (j >= b.size()) return 1;
        const QStringView x = runOf(a, i), y = runOf(b, j);
        const bool numbers = x.front().isDigit() && y.front().isDigit();
        const int c = numbers ? byNumber(x, y) : QString::localeAwareCompare(x.toString(), y.toString());
        if (c != 0) return c;
        i += x.size();
        j += y.size();
    }
    return 0;
}

NaturalSort::NaturalSort(QObject* parent) : QSortFilterProxyModel(parent) {
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
        const int c = naturalCompare(a.toString().toCaseFolded(), b.toString().toCaseFolded());
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
