// SPDX-License-Identifier: GPL-3.0-or-later
// The window of calibration looked at one carrier at a time.
#include "dialogs/calibration_window.h"
#include "models/calibration_model.h"
#include "models/words.h"

#include <QComboBox>
#include <QSignalBlocker>
#include <QTableView>

#include <algorithm>
#include <map>
#include <tuple>

namespace fw {

namespace {

// A carrier as a combo box keeps it.
QVariant keyOf(const Carrier& c) { return QVariantList{static_cast<int>(c.technology), c.channel}; }

} // namespace

void CalibrationWindow::fillCarriers() {
    const QSignalBlocker quiet(m_carriers);
    const QVariant before = m_carriers->currentData();
    m_carriers->clear();
    m_carriers->addItem(tr("All carriers"));
    if (const auto& result = m_run.result()) {
        std::map<std::tuple<Technology, std::int32_t>, Carrier> carriers;
        for (const CellCalibration& each : result->calibration.cells)
            if (const Cell* cell = result->study->plan().cells.find(each.cell))
                carriers.try_emplace({cell->carrier.technology, cell->carrier.channel}, cell->carrier);
        for (const auto& [key, carrier] : carriers)
            //: %1 a carrier ("LTE B3, 20 MHz"), %2 its channel number
            m_carriers->addItem(
                tr("%1, channel %2").arg(carrierText(carrier), QString::number(carrier.channel)),
                keyOf(carrier));
    }
    if (before.isValid()) m_carriers->setCurrentIndex(std::max(0, m_carriers->findData(before)));
    m_carriers->setVisible(m_carriers->count() > 2);
    if (m_carriers->count() <= 2) m_carriers->setCurrentIndex(0);
    carrierChosen();
}

bool CalibrationWindow::isLookedAt(ItemId id) const {
    if (m_carriers->currentIndex() <= 0 || !m_run.result()) return true;
    const Cell* cell = m_run.result()->study->plan().cells.find(id);
    return cell && keyOf(cell->carrier) == m_carriers->currentData();
}

void CalibrationWindow::carrierChosen() {
    const ItemId chosen = chosenCell();
    if (chosen && !isLookedAt(chosen)) m_cells->setCurrentIndex(m_model->index(0, 0));
    for (int row = 1; row < m_model->rowCount(); ++row)
        m_cells->setRowHidden(row, !isLookedAt(m_model->cellAt(row)));
    cellChosen();
}

ErrorHistograms CalibrationWindow::talliesOfAll() const {
    const Calibration& c = m_run.result()->calibration;
    if (m_carriers->currentIndex() <= 0) return {c.histogramBefore, c.histogramAfter};
    ErrorHistograms sum;
    for (const CellCalibration& each : c.cells) {
        if (!each.fitted || !isLookedAt(each.cell)) continue;
        const ErrorHistograms one = histogramsOf(c, each.cell);
        for (std::size_t k = 0; k < sum.before.size(); ++k) {
            sum.before[k] += one.before[k];
            sum.after[k] += one.after[k];
        }
    }
    return sum;
}

QString CalibrationWindow::allText() const {
    return m_carriers->currentIndex() > 0 ? tr("All fitted cells of %1").arg(m_carriers->currentText())
                                          : tr("All fitted cells");
}

} // namespace fw
