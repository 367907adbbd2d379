// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QMargins>
#include <QWidget>

namespace fw {

/// The map from edge to edge, with cards that float on it: the tools at the upper left, the stage's table
/// below them, what is shown at the upper right.
class MapArea : public QWidget {
    Q_OBJECT
public:
    MapArea(QWidget* map, QWidget* tools, QWidget* shown, QWidget* parent = nullptr);
    /// The table of a stage, or null: none. Takes no ownership of the one before.
    void setTable(QWidget* table);
    [[nodiscard]] QWidget* table() const { return m_table; }
    /// Width of the table in pixels, kept between stages.
    [[nodiscard]] int tableWidth() const { return m_tableWidth; }
    void setTableWidth(int width);

signals:
    /// How far cards reach over the map from its edges, so that what is looked for is put beside them.
    void coveredChanged(const QMargins& covered);

protected:
    void resizeEvent(QResizeEvent*) override;
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    void place();
    QWidget *m_map, *m_tools, *m_shown, *m_table = nullptr;
    QWidget* m_grip;
    int m_tableWidth = 0;
    int m_gripFrom = -1, m_widthFrom = 0;
};

} // namespace fw
