// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "intake/raster_intake.h"

#include <QWidget>

class QComboBox;
class QFormLayout;
class QLabel;
class QLineEdit;
class QPushButton;

namespace fw {

struct IntakeFile;

/// What a raster is and how it would come in: use, system, unit of its values, side of the plan's cells, and
/// what of it would be taken. Remarks and the button that takes it in stand beside, in the window.
class RasterPart : public QWidget {
    Q_OBJECT
public:
    explicit RasterPart(Workspace& space, QWidget* parent = nullptr);

    void setFile(const IntakeFile& file);
    /// Facts as sentences, one a line.
    [[nodiscard]] QString factsText() const;
    /// True where the plan has to be saved before anything can lie beside it.
    [[nodiscard]] bool needsSaving() const;

signals:
    void asked(const fw::RasterRequest& request);
    void saveWanted();

private:
    void systemEntered();
    void cellEntered();
    void unitChosen();
    void useChosen();
    void weightsEntered();
    [[nodiscard]] QString nowText() const;

    Workspace& m_space;
    RasterRequest m_request;
    std::shared_ptr<const RasterPreview> m_preview;
    QComboBox *m_use, *m_unit;
    QLineEdit *m_system, *m_cell;
    QLabel *m_systemSays, *m_cellSays, *m_facts, *m_saveSays;
    QLineEdit* m_weights;
    QLabel* m_weightsSay;
    QFormLayout* m_form = nullptr;
    QPushButton* m_save;
    bool m_filling = false, m_taken = false;
};

} // namespace fw
