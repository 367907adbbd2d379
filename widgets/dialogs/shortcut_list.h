// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QAction>
#include <QDialog>
#include <QList>

namespace fw {

/// Every key in one list: those of the actions given, and those of map and skyline.
class ShortcutList : public QDialog {
    Q_OBJECT
public:
    explicit ShortcutList(const QList<QAction*>& actions, QWidget* parent = nullptr);
};

} // namespace fw
