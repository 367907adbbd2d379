// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "document/workspace.h"
#include "geo/declination.h"

#include <QWidget>

#include <memory>

class QLineEdit;

namespace fw {

class FactsSection;

/// Facts of what is chosen, each editable where it stands, by the chain it belongs to: mount, radio, small
/// cell; site, sector, cell. Follows a drag while the button is down. Several chosen: their shared fields,
/// set for all at once.
class FactsPanel : public QWidget {
    Q_OBJECT
public:
    explicit FactsPanel(Workspace& space, QWidget* parent = nullptr);
    ~FactsPanel() override;

    /// For magnetic azimuths; without it they are unknown.
    void setMagneticField(MagneticField field);

    /// The section of a kind; null while it is not shown.
    [[nodiscard]] FactsSection* section(Kind kind) const;
    /// Scrolls to a field and puts the cursor into it: numeric entry for what was just dragged.
    void editField(Kind kind, const QString& key);

signals:
    void workingWanted(fw::Working working);

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace fw
