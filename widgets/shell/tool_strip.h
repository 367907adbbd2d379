// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QFrame>
#include <QList>

class QAction;
class QHBoxLayout;

namespace fw {

/// The map's tools as a strip of words on the map.
class ToolStrip : public QFrame {
    Q_OBJECT
public:
    explicit ToolStrip(QWidget* parent = nullptr);
    void setTools(const QList<QAction*>& tools);

protected:
    void paintEvent(QPaintEvent*) override;

private:
    QHBoxLayout* m_row;
};

} // namespace fw
