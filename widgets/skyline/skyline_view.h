// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "skyline/skyline_picture.h"

#include <QPixmap>
#include <QRegion>
#include <QWidget>

#include <functional>
#include <memory>
#include <optional>

namespace fw {

/// What the chosen radio sees all round, with its beam as a bright window. The window is dragged to aim:
/// sideways turns in whole degrees (Alt: tenths), up and down tilts to what the bracket allows; map, findings
/// and fit follow in the same frame. Keys: Left and Right turn by 1 degree (Shift: 10), Up and Down take the
/// next tilt, Esc abandons a drag, Ctrl+Left and Ctrl+Right step through the named marks, Enter goes to one.
class SkylineView : public QWidget {
    Q_OBJECT
public:
    explicit SkylineView(Workspace& space, QWidget* parent = nullptr);
    ~SkylineView() override;

    /// Null skyline while nothing with a radio is chosen.
    [[nodiscard]] const SkylineScene& scene() const { return m_scene; }
    [[nodiscard]] const SkylineScale& scale() const { return m_scale; }
    /// The beam as it is drawn: of the plan, or as it would be while it is dragged.
    [[nodiscard]] std::optional<SkylineBeam> beam() const;
    /// Empty until computed, and while the mount is being moved.
    [[nodiscard]] const BlockedBearings* blocked() const;
    [[nodiscard]] const std::vector<SkylineMark>& marks() const { return m_marks; }
    /// Bearing, elevation, what stands there and how far: what the tooltip says. Empty beside the panorama.
    [[nodiscard]] QString textAt(QPointF place) const;
    /// What is said while there is nothing to see; empty otherwise.
    [[nodiscard]] QString emptyText() const;

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

signals:
    void markActivated(fw::ItemId item); ///< a macro site or a mount: click, or Enter on the mark

protected:
    bool event(QEvent*) override;
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;
    void showEvent(QShowEvent*) override;
    void changeEvent(QEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;
    void mouseDoubleClickEvent(QMouseEvent*) override;
    void leaveEvent(QEvent*) override;
    void keyPressEvent(QKeyEvent*) override;

private:
    enum class Axis { undecided, azimuth, tilt };
    /// A drag of the window that began here.
    struct Hold {
        QPointF from;
        Axis axis = Axis::undecided;
        double azimuthDeg = 0, tiltDeg = 0; ///< at its begin
    };

    void refresh();
    [[nodiscard]] std::function<void()> lookAhead(const std::shared_ptr<const Study>& study);
    void layOut();
    void findBlocked();
    void describeAloud();
    [[nodiscard]] SkylineStyle style() const;
    void drawCaption(QPainter& p);
    void drawLobes(QPainter& p, const WindowPalette& colors);
    void drawStill();
    void drawMoving(QPainter& p, const SkylineStyle& style);
    [[nodiscard]] QString beamText() const;
    [[nodiscard]] QString markText(const SkylineThing& t) const;
    [[nodiscard]] QString nameOf(ItemId solid) const;
    [[nodiscard]] const SkylineMark* markAt(QPointF place) const;
    [[nodiscard]] Axis edgeAt(QPointF place, bool& inside) const;
    void setCursorFor(QPointF place);
    void takeHold(QPointF place);
    void follow(QPointF place, Qt::KeyboardModifiers modifiers);
    const Radio* openRadio(); // null, and said, where its aim is locked
    void turnBy(double deg);
    void tiltBy(int steps);
    void stepMark(int by);
    void change(const Radio& radio, const QString& text);

    Workspace& m_space;
    SkylineScene m_scene;
    std::shared_ptr<const Study> m_aheadOf; ///< the frame that m_aheadScene was looked up for
    SkylineScene m_aheadScene;
    SkylineScale m_scale;
    std::vector<SkylineMark> m_marks;
    double m_ratio = 0;    ///< device pixels per unit of the pixmaps, which are kept in device pixels
    QPixmap m_back, m_dim; ///< backdrop, and the same veiled
    QPixmap m_front;       ///< marks
    QRegion m_frontParts;  ///< of m_front, where there is something
    bool m_backStale = true, m_frontStale = true, m_sceneStale = true;
    std::optional<Hold> m_hold;
    ItemId m_pressedMark;
    QPointF m_pressedAt;
    std::optional<std::size_t> m_focusMark; ///< index into things
    std::optional<QPointF> m_pointer;
    BlockedBearings m_blocked;
    ItemId m_blockedRadio;
    std::shared_ptr<const Skyline> m_blockedFrom;
    std::shared_ptr<const Study> m_askedStudy; ///< of the blocked bearings that are on their way or there
    ItemId m_askedRadio;
};

} // namespace fw
