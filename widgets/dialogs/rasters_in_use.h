// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "plan/settings.h"

#include <QWidget>

#include <vector>

class QGridLayout;
class QPushButton;

namespace fw {

/// The rasters that the plan stands on and spreads its load by, a line each, with a button that leaves it:
/// one step of the history, the file stays. Hidden while there are none.
class RastersInUse : public QWidget {
    Q_OBJECT
public:
    explicit RastersInUse(Workspace& space, QWidget* parent = nullptr);

    /// Null where the plan has no such raster.
    [[nodiscard]] QPushButton* leaveButton(RasterUse use) const;
    /// "Demand: town-demand.tif"; empty where the plan has none.
    [[nodiscard]] QString text(RasterUse use) const;

private:
    void refresh();
    void leave(RasterUse use);

    Workspace& m_space;
    QGridLayout* m_lines;
    std::vector<std::pair<RasterUse, QPushButton*>> m_buttons;
    GroundFiles m_shown;
    bool m_readOnly = false;
};

} // namespace fw
