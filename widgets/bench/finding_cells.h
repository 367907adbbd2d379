// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"

#include <QStyledItemDelegate>

namespace fw {

/// Draws a finding: sign and word, rule, measured against limit; below it the sentence. The current one shows
/// its sentence whole, with what it is about and where it stands.
class FindingCells : public QStyledItemDelegate {
    Q_OBJECT
public:
    FindingCells(Workspace& space, QObject* parent);
    /// Another row is the current one, or the room is another: rows are laid out anew, once the turn is over.
    void heightsChanged() { emit sizeHintChanged({}); }
    void paint(QPainter* painter, const QStyleOptionViewItem& option,
               const QModelIndex& index) const override;
    QSize sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const override;

private:
    Workspace& m_space;
};

} // namespace fw
