// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"

#include <QWidget>

#include <optional>

class QLabel;
class QProgressBar;
class QToolButton;

namespace fw {

/// The last line of the window: what a click would do, the place under the pointer (copied by a click or
/// Ctrl+Shift+C) with its system, the scale, and what runs, with a way to stop it.
class StatusLine : public QWidget {
    Q_OBJECT
public:
    explicit StatusLine(Workspace& space, QWidget* parent = nullptr);
    void setHint(const QString& hint);
    void setPlace(const std::optional<PlanePoint>& at, const QString& value);
    /// @param metresPerPixel  of the map; the scale is told for the screen's own dots per inch.
    void setScale(double metresPerPixel);
    /// Both forms with their systems: "36.912345, -20.412345 (WGS 84, latitude longitude); ..."; empty
    /// without a place.
    [[nodiscard]] QString placeText() const { return m_copy; }
    void copyPlace();

protected:
    void paintEvent(QPaintEvent*) override;

private:
    void showJobs();
    void sayPlace(const QString& text);
    Workspace& m_space;
    QLabel *m_hint, *m_value, *m_scale, *m_job;
    QToolButton *m_place, *m_stop;
    QProgressBar* m_bar;
    QString m_copy;
    std::optional<PlanePoint> m_at;
    QSize m_placeRoom;
};

} // namespace fw
