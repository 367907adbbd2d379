// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/map_view.h"
#include "canvas/tool.h"
#include "geo/shape.h"

#include <QCoreApplication>

#include <memory>

namespace fw {

/// Draws a congestion area: each click puts a corner, Backspace takes the last one back, Enter, a double
/// click or a click on the first corner closes it. An outline that crosses itself is not closed. Stays until
/// Esc.
class AreaTool : public Tool {
    Q_DECLARE_TR_FUNCTIONS(AreaTool)
public:
    using Tool::Tool;

    void press(const MapPointer& p) override;
    void move(const MapPointer& p) override;
    void doubleClick(const MapPointer& p) override;
    bool key(QKeyEvent& e) override;
    bool cancel() override;
    void paint(QPainter& p) override;
    [[nodiscard]] QCursor cursor() const override { return Qt::CrossCursor; }
    [[nodiscard]] QString hint() const override;

    [[nodiscard]] const Ring& corners() const { return m_corners; }

private:
    void close();
    [[nodiscard]] bool overFirst(QPointF screen) const;

    Ring m_corners;
    std::optional<PlanePoint> m_at;
    QString m_fault; ///< why it was not closed
    std::shared_ptr<bool> m_alive = std::make_shared<bool>(true);
};

} // namespace fw
