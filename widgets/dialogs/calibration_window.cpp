// SPDX-License-Identifier: GPL-3.0-or-later
// What the window of calibration does; how it looks stands in calibration_window_parts.cpp.
#include "dialogs/calibration_window.h"

#include "charts/residual_histogram.h"
#include "dialogs/mapping_table.h"
#include "dialogs/remark_list.h"
#include "models/calibration_model.h"
#include "models/refusal_model.h"
#include "text/figures.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDropEvent>
#include <QFileDialog>
#include <QFileInfo>
#include <QLabel>
#include <QLineEdit>
#include <QLocale>
#include <QMimeData>
#include <QProgressBar>
#include <QPushButton>
#include <QSignalBlocker>
#include <QTabWidget>
#include <QTableView>

namespace fw {

namespace {

QString counted(std::size_t n) { return QLocale().toString(static_cast<qulonglong>(n)); }

QStringList localFiles(const QMimeData* data) {
    QStringList files;
    for (const QUrl& url : data->urls())
        if (url.isLocalFile()) files << url.toLocalFile();
    return files;
}

} // namespace

CalibrationWindow::CalibrationWindow(Workspace& space, QWidget* parent)
    : QDialog(parent), m_space(space), m_run(space, this) {
    makeWindow();
    connectParts();
    setAcceptDrops(true);
    runChanged();
}

CalibrationWindow::~CalibrationWindow() = default;

void CalibrationWindow::askForFile() {
    const QString file = QFileDialog::getOpenFileName(this, tr("Measurements to compare with"));
    if (!file.isEmpty()) m_run.setFile(file);
}

void CalibrationWindow::dragEnterEvent(QDragEnterEvent* e) {
    if (localFiles(e->mimeData()).size() == 1) e->acceptProposedAction();
}

void CalibrationWindow::dropEvent(QDropEvent* e) {
    const QStringList files = localFiles(e->mimeData());
    e->acceptProposedAction();
    if (files.size() != 1) return;
    if (QFileInfo(files[0]).isDir()) {
        m_became->setText(
            tr("%1 is a folder. Drop the file with the measurements.").arg(QFileInfo(files[0]).fileName()));
        m_became->show();
        return;
    }
    m_run.setFile(files[0]);
}

void CalibrationWindow::readOptions() {
    if (!m_filling) m_run.setOptions({m_slope->isChecked(), m_indoor->isChecked()});
}

void CalibrationWindow::ask(const std::function<void(IntakeRequest&)>& how) {
    if (m_filling || m_run.path().isEmpty()) return;
    IntakeRequest request = m_run.request();
    how(request);
    m_run.change(request);
}

void CalibrationWindow::systemEntered() {
    bool whole = false;
    const QString text = m_system->text().trimmed();
    const int code = text.isEmpty() ? 0 : text.toInt(&whole);
    if (!text.isEmpty() && !whole) {
        m_systemSays->setText(tr("Write the EPSG code as a number, for example 4326."));
        return;
    }
    if (m_run.request().epsg != code) ask([&](IntakeRequest& r) { r.epsg = code; });
}

QString CalibrationWindow::countsText(const Calibration& c) const {
    QString text = tr("%1 points: %2 matched in %3 street squares")
                       .arg(counted(c.given), counted(c.matched), counted(c.squares));
    QStringList out;
    const auto left = [&](std::size_t n, const QString& words) {
        if (n > 0) out << words.arg(counted(n));
    };
    left(c.notALevel, tr("%1 no level"));
    left(c.unknownCell, tr("%1 of no cell of the plan"));
    left(c.ambiguous, tr("%1 of several cells"));
    left(c.notPredicted, tr("%1 where nothing is predicted"));
    if (!out.isEmpty()) text += tr("; left out: %1").arg(out.join(tr(", ", "between counts")));
    return text + QLatin1Char('.');
}

QString CalibrationWindow::stateText() const {
    if (!m_space.document.isOpen())
        return tr("Open or make a plan first; measurements are compared with one.");
    if (m_run.path().isEmpty())
        return tr("Choose a file of measured levels, or drop it here. Nothing changes before you apply it.");
    if (m_run.running()) return m_run.preview() ? tr("Comparing ...") : tr("Reading the file ...");
    const auto& p = m_run.preview();
    QString text;
    if (p) {
        text = tr("%1 rows: %2 good, %3 refused", "counts of rows")
                   .arg(counted(p->rows), counted(p->good), counted(p->refused));
        text += QLatin1Char('.');
        if (!p->usable()) text += QLatin1Char(' ') + tr("The file leaves something open; see below.");
    }
    if (!m_run.trouble().isEmpty()) return (text + QLatin1Char(' ') + m_run.trouble()).trimmed();
    if (m_run.result()) text += QLatin1Char(' ') + countsText(m_run.result()->calibration);
    return text.trimmed();
}

QString CalibrationWindow::verdictText() const {
    const auto& result = m_run.result();
    if (!result || m_run.running()) return {};
    const Calibration& c = result->calibration;
    QString text = coreText(c.verdict);
    if (c.indoor && !c.indoor->fitted) {
        text += QLatin1Char(' ') + tr("Indoors: %1 points are too few.").arg(counted(c.indoor->points));
    } else if (c.indoor) {
        text += QLatin1Char(' ') + tr("Indoors: %1 points, measured %2 over predicted.")
                                       .arg(counted(c.indoor->points),
                                            signedFigure(c.indoor->excessDb, QStringLiteral("dB"), 1));
        if (c.indoor->efficientShare)
            text += QLatin1Char(' ') + tr("A share of efficient buildings of %1 brings it to nothing.")
                                           .arg(percent(*c.indoor->efficientShare));
    }
    if (m_run.applied()) return text + QLatin1Char(' ') + tr("Applied. Undo takes it out again.");
    if (!m_run.current())
        text += QLatin1Char(' ') + tr("The plan has changed since it was compared; compare it again.");
    return text;
}

void CalibrationWindow::runChanged() {
    showFile();
    showState();
}

void CalibrationWindow::showFile() {
    const QString name = QFileInfo(m_run.path()).fileName();
    m_name->setText(name.isEmpty() ? tr("No file yet") : name);
    m_name->setToolTip(m_run.path());
    const auto& p = m_run.preview();
    if (p == m_shown && (p || m_run.running())) return;
    m_shown = p;
    m_filling = true;
    m_remarks->setRemarks(p ? p->remarks : std::vector<IntakeRemark>{});
    m_mapping->setPreview(p);
    m_refusals->setPreview(p);
    m_system->setText(m_run.request().epsg ? QString::number(m_run.request().epsg) : QString());
    m_swap->setChecked(m_run.request().swapAxes);
    m_systemSays->setText(p ? QString::fromStdString(p->crs) : QString());
    m_filling = false;
    const std::size_t refused = p ? p->refused : 0;
    m_refusedSays->setText(
        !p             ? QString()
        : refused == 0 ? tr("No row is refused.")
        : refused > p->refusals.size()
            ? tr("The first %1 of %2 are listed.").arg(counted(p->refusals.size()), counted(refused))
            : tr("%1 of %2 rows are refused.").arg(counted(refused), counted(p->rows)));
    m_tabs->setTabText(m_tabs->indexOf(m_refused->parentWidget()),
                       refused ? tr("Refused &rows (%1)").arg(counted(refused)) : tr("Refused &rows"));
    if (p && !p->usable()) m_tabs->setCurrentWidget(m_mapping->parentWidget());
    emit measuredChanged(p && p->usable() ? std::shared_ptr<const std::vector<MeasuredPoint>>(p, &p->measured)
                                          : nullptr);
}

void CalibrationWindow::showState() {
    m_state->setText(stateText());
    const QString verdict = verdictText();
    m_verdict->setText(verdict);
    m_verdict->setVisible(!verdict.isEmpty());
    const auto& result = m_run.result();
    const bool running = m_run.running(), have = result && !running;
    m_bar->setVisible(running);
    m_stop->setVisible(running);
    for (const JobState& job : m_space.jobs.states())
        if (running && job.name.startsWith(tr("Comparing ")))
            m_bar->setValue(static_cast<int>(job.share * 1000));
    m_again->setEnabled(!running && !m_run.path().isEmpty() && m_space.document.isOpen());
    m_apply->setEnabled(have && result->calibration.usable && m_run.current() && !m_run.applied() &&
                        !m_space.document.readOnly());
    m_apply->setToolTip(m_space.document.readOnly()           ? tr("The plan is open for reading only")
                        : have && !result->calibration.usable ? coreText(result->calibration.verdict)
                                                              : QString());
    m_working->setEnabled(have);
    const MeasuredAzimuth* azimuth = chosenAzimuth();
    const Sector* sector = azimuth ? m_space.document.plan().sectors.find(azimuth->sector) : nullptr;
    // One after the other can be turned: another sector's azimuth does not matter to it.
    m_azimuthWorking->setEnabled(have && azimuth);
    m_turn->setEnabled(have && sector && azimuth->known && sector->azimuth == azimuth->inventory &&
                       !m_space.document.readOnly());
    m_onMap->setEnabled(have);
    m_which->setEnabled(have && m_onMap->isChecked());
}

void CalibrationWindow::resultChanged() {
    m_became->hide();
    const auto& result = m_run.result();
    if (!result) {
        m_model->clear();
        m_azimuthModel->setAzimuths({});
        m_histogram->clear();
        m_swappedSays->clear();
    } else {
        m_model->setCalibration(result->calibration);
        m_azimuthModel->setAzimuths(result->azimuths);
        QStringList swapped;
        for (const AuditFinding& f : result->swapped)
            swapped << coreText(f.text) + QLatin1Char(' ') + coreText(f.proposal);
        m_swappedSays->setText(swapped.isEmpty() ? tr("No two sectors were measured in each other's place.")
                                                 : swapped.join(QLatin1Char('\n')));
        m_cells->setCurrentIndex(m_model->index(0, 0));
        m_tabs->setCurrentWidget(m_cells->parentWidget()->parentWidget());
    }
    fillCarriers();
}

ItemId CalibrationWindow::chosenCell() const { return m_model->cellAt(m_cells->currentIndex().row()); }

void CalibrationWindow::cellChosen() {
    const auto& result = m_run.result();
    const ItemId cell = chosenCell();
    if (result && m_model->rowCount() > 0) {
        const Calibration& c = result->calibration;
        if (cell)
            m_histogram->setTallies(histogramsOf(c, cell),
                                    QString::fromStdString(m_space.document.plan().label(cell)));
        else
            m_histogram->setTallies(talliesOfAll(), allText());
    }
    const int row = m_cells->currentIndex().row();
    const bool oneCarrier = m_carriers->currentIndex() > 0;
    m_rowSays->setText(
        row >= 1     ? m_model->index(row, CalibrationModel::Verdict).data(Qt::DisplayRole).toString()
        : oneCarrier ? tr("Map and histogram show %1 alone; the first row counts all carriers.")
                           .arg(m_carriers->currentText())
                     : QString());
    m_rowSays->setVisible(row >= 1 || (result && oneCarrier));
    showState();
    emit marksChanged();
    if (cell && m_space.document.plan().has(cell) && m_cells->hasFocus()) {
        m_space.selection.setOne(cell);
        emit itemWanted(cell);
    }
}

std::vector<ResidualMark> CalibrationWindow::marks() const {
    std::vector<ResidualMark> out;
    const auto& result = m_run.result();
    if (!isVisible() || !m_onMap->isChecked() || !result || m_run.running()) return out;
    const bool after = m_which->currentIndex() == 1;
    const ItemId cell = chosenCell();
    for (const PointResidual& r : result->calibration.residuals)
        if (cell ? r.cell == cell : isLookedAt(r.cell))
            out.push_back({r.at, after ? r.afterDb : r.beforeDb, r.cell});
    return out;
}

QString CalibrationWindow::marksTitle() const {
    const ItemId cell = chosenCell();
    const QString of = cell ? QString::fromStdString(m_space.document.plan().label(cell))
                       : m_carriers->currentIndex() > 0
                           ? tr("All measured cells of %1").arg(m_carriers->currentText())
                           : tr("All measured cells");
    //: %1 a cell or all, %2 "before" or "after"
    return tr("%1, %2").arg(of, m_which->currentText());
}

void CalibrationWindow::openWorking() {
    const auto& result = m_run.result();
    if (!result) return;
    const Plan& plan = result->study->plan();
    const ItemId cell = chosenCell();
    emit workingWanted(cell ? workingOf(plan, result->calibration, cell)
                            : workingOfErrors(plan, result->calibration, {}, ErrorsOn::heldOut));
}

void CalibrationWindow::openAzimuthWorking() {
    if (const MeasuredAzimuth* m = chosenAzimuth(); m && m_run.result())
        emit workingWanted(workingOf(m_run.result()->study->plan(), *m));
}

const MeasuredAzimuth* CalibrationWindow::chosenAzimuth() const {
    const int row = m_azimuths->currentIndex().row();
    return row < 0 || row >= m_azimuthModel->rowCount() ? nullptr : &m_azimuthModel->at(row);
}

void CalibrationWindow::sectorChosen() {
    showState();
    const MeasuredAzimuth* m = chosenAzimuth();
    if (!m || !m_azimuths->hasFocus() || !m_space.document.plan().has(m->sector)) return;
    m_space.selection.setOne(m->sector);
    emit itemWanted(m->sector);
}

void CalibrationWindow::turnSector() {
    const MeasuredAzimuth* m = chosenAzimuth();
    if (!m) return;
    const auto edit = azimuthEdit(m_space.document.plan(), *m);
    const Status done = edit ? m_space.document.perform(*edit) : Status(edit.error());
    m_became->setVisible(!done.ok());
    if (!done.ok()) m_became->setText(coreText(done.error().sentence()));
}

void CalibrationWindow::apply() {
    const Status done = m_run.apply();
    m_became->setVisible(!done.ok());
    if (!done.ok()) m_became->setText(coreText(done.error().sentence()));
}

void CalibrationWindow::showEvent(QShowEvent* e) {
    QDialog::showEvent(e);
    showState();
    emit marksChanged();
}

void CalibrationWindow::hideEvent(QHideEvent* e) {
    QDialog::hideEvent(e);
    emit marksChanged();
}

} // namespace fw
