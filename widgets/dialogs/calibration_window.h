// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/residual_layer.h"
#include "dialogs/calibration_run.h"

#include <QDialog>

class QCheckBox;
class QComboBox;
class QLabel;
class QLineEdit;
class QProgressBar;
class QPushButton;
class QTabWidget;
class QTableView;

namespace fw {

class AzimuthModel;
class CalibrationModel;
class MappingTable;
class RefusalModel;
class RemarkList;
class ResidualHistogram;

/// Measured levels against predicted ones: a file is chosen or dropped, compared on a worker, and what came
/// of it is shown cell by cell, as a histogram and on the map. Not modal; nothing changes before "Apply
/// offsets", which is one step of the history.
class CalibrationWindow : public QDialog {
    Q_OBJECT
public:
    explicit CalibrationWindow(Workspace& space, QWidget* parent = nullptr);
    ~CalibrationWindow() override;

    [[nodiscard]] CalibrationRun& run() { return m_run; }
    [[nodiscard]] QTableView& cells() const { return *m_cells; }
    [[nodiscard]] QTableView& azimuths() const { return *m_azimuths; }
    /// All carriers first, then each that was measured; hidden where there is only one.
    [[nodiscard]] QComboBox& carriers() const { return *m_carriers; }
    [[nodiscard]] const ResidualHistogram& histogram() const { return *m_histogram; }
    /// Points for the map; empty while they are not to be shown.
    [[nodiscard]] std::vector<ResidualMark> marks() const;
    [[nodiscard]] QString marksTitle() const;
    /// What the window says of the file and of the comparison.
    [[nodiscard]] QString stateText() const;
    [[nodiscard]] QString verdictText() const;

public slots:
    void apply();
    void askForFile();

signals:
    void marksChanged();                     ///< marks() are others
    void itemWanted(fw::ItemId item);        ///< a row was chosen
    void workingWanted(fw::Working working); ///< of a cell's offset, of all errors, of an azimuth
    /// Other points are at hand, for checks that need them; null: none.
    void measuredChanged(std::shared_ptr<const std::vector<fw::MeasuredPoint>> points);

protected:
    void dragEnterEvent(QDragEnterEvent*) override;
    void dropEvent(QDropEvent*) override;
    void showEvent(QShowEvent*) override;
    void hideEvent(QHideEvent*) override;

private:
    // calibration_window.cpp
    void runChanged();
    void resultChanged();
    void showFile();
    void showState();
    void cellChosen();
    void fillCarriers();
    void carrierChosen();
    [[nodiscard]] bool isLookedAt(ItemId cell) const; ///< of the chosen carrier
    [[nodiscard]] ErrorHistograms talliesOfAll() const;
    [[nodiscard]] QString allText() const; ///< "All fitted cells", of one carrier where that is chosen
    void openWorking();
    void openAzimuthWorking();
    void sectorChosen();
    void turnSector();
    void readOptions();
    void systemEntered();
    void ask(const std::function<void(IntakeRequest&)>& how);
    [[nodiscard]] ItemId chosenCell() const;
    [[nodiscard]] const MeasuredAzimuth* chosenAzimuth() const; ///< null: none
    [[nodiscard]] QString countsText(const Calibration& c) const;
    // calibration_window_parts.cpp
    void makeWindow();
    QWidget* makeHead();
    QWidget* makeCells();
    QWidget* makeAzimuths();
    QWidget* makeColumns();
    QWidget* makeRefused();
    QWidget* makeFoot();
    void connectParts();

    Workspace& m_space;
    CalibrationRun m_run;
    CalibrationModel* m_model = nullptr;
    AzimuthModel* m_azimuthModel = nullptr;
    RefusalModel* m_refusals = nullptr;
    QLabel *m_name = nullptr, *m_state = nullptr, *m_verdict = nullptr, *m_became = nullptr;
    QLabel *m_rowSays = nullptr, *m_refusedSays = nullptr, *m_swappedSays = nullptr, *m_systemSays = nullptr;
    QCheckBox *m_slope = nullptr, *m_indoor = nullptr, *m_onMap = nullptr, *m_swap = nullptr;
    QComboBox *m_which = nullptr, *m_carriers = nullptr;
    QLineEdit* m_system = nullptr;
    RemarkList* m_remarks = nullptr;
    QTabWidget* m_tabs = nullptr;
    QTableView *m_cells = nullptr, *m_azimuths = nullptr, *m_refused = nullptr;
    MappingTable* m_mapping = nullptr;
    ResidualHistogram* m_histogram = nullptr;
    QProgressBar* m_bar = nullptr;
    QPushButton *m_choose = nullptr, *m_again = nullptr, *m_stop = nullptr, *m_working = nullptr,
                *m_turn = nullptr, *m_azimuthWorking = nullptr, *m_apply = nullptr;
    std::shared_ptr<const IntakePreview> m_shown; ///< whose mapping and refusals stand in the tables
    bool m_filling = false;                       ///< controls change by us, not by a hand
};

} // namespace fw
