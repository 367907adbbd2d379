// SPDX-License-Identifier: GPL-3.0-or-later
// What the window wires of the inventory audit, the calibration and the variants.
#include "main_window.h"

#include "canvas/residual_layer.h"
#include "dialogs/audit_window.h"
#include "dialogs/calibration_window.h"
#include "dialogs/intake_window.h"
#include "dialogs/variants_window.h"
#include "document/place_of.h"
#include "text/figures.h"

namespace fw {

namespace {

void present(QWidget& window) {
    window.show();
    window.raise();
    window.activateWindow();
}

} // namespace

void MainWindow::openAudit() {
    if (!m_audit) {
        m_audit = new AuditWindow(m_space, this);
        m_audit->setMeasured(m_measured);
        tellCounted();
        connect(m_audit, &AuditWindow::itemWanted, this, &MainWindow::goToItem);
    }
    present(*m_audit);
}

void MainWindow::openVariants() {
    if (!m_variants) m_variants = new VariantsWindow(m_space, this);
    present(*m_variants);
}

void MainWindow::tellCounted() {
    if (!m_audit) return;
    std::vector<std::string> cells;
    if (m_intake)
        for (const IntakeFile& file : m_intake->files().files())
            if (file.preview)
                cells.insert(cells.end(), file.preview->unknownCells.begin(),
                             file.preview->unknownCells.end());
    m_audit->setCounted(std::move(cells));
}

void MainWindow::openCalibration() {
    if (!m_calibration) makeCalibration();
    present(*m_calibration);
}

void MainWindow::makeCalibration() {
    m_calibration = new CalibrationWindow(m_space, this);
    m_residuals = std::make_shared<ResidualLayer>();
    m_map->addOverlay([this](QPainter& p, const Camera& camera) {
        m_residuals->paint(p, camera, windowPalette(m_map->palette()));
    });
    m_map->addOverlay(
        [this](QPainter& p, const Camera& camera) {
            p.setFont(m_map->font());
            m_residuals->paintLegend(p, camera, windowPalette(m_map->palette()), m_map->layoutDirection());
        },
        false);
    connect(m_calibration, &CalibrationWindow::marksChanged, this, [this] {
        m_residuals->setMarks(m_calibration->marks());
        m_residuals->setTitle(m_calibration->marksTitle());
        m_map->update();
    });
    connect(m_calibration, &CalibrationWindow::itemWanted, this, [this](ItemId item) {
        // Brought into view, not nearer: its points lie all round it.
        if (const auto at = placeOf(m_space.document.plan(), item)) m_map->reveal(*at);
    });
    connect(m_calibration, &CalibrationWindow::workingWanted, this, &MainWindow::showWorking);
    connect(m_calibration, &CalibrationWindow::measuredChanged, this,
            [this](std::shared_ptr<const std::vector<MeasuredPoint>> points) {
                m_measured = std::move(points);
                if (m_audit) m_audit->setMeasured(m_measured);
            });
}

// What the measured point under a place says; empty where there is none.
QString MainWindow::residualAt(PlanePoint at) const {
    if (!m_residuals || m_residuals->marks().empty()) return {};
    const auto mark = m_residuals->markAt(m_map->camera(), at);
    if (!mark) return {};
    //: %1 a level difference with its sign and unit, %2 a cell
    return tr("measured less predicted %1, %2")
        .arg(signedFigure(mark->db, QStringLiteral("dB"), 1),
             QString::fromStdString(m_space.document.plan().label(mark->cell)));
}

} // namespace fw
