// SPDX-License-Identifier: GPL-3.0-or-later
// What the window wires of the inventory audit, the calibration, the variants and the evidence page.
#include "main_window.h"

#include "base/parallel.h"
#include "base/text.h"
#include "canvas/residual_layer.h"
#include "dialogs/audit_window.h"
#include "dialogs/calibration_window.h"
#include "dialogs/intake_window.h"
#include "dialogs/models_window.h"
#include "dialogs/variants_window.h"
#include "document/place_of.h"
#include "print/evidence_page.h"
#include "study/settled.h"
#include "text/figures.h"
#include "theme/paper_fonts.h"

#include <QAction>
#include <QDesktopServices>
#include <QDir>
#include <QFileDialog>
#include <QFileInfo>
#include <QUrl>

namespace fw {

namespace {

void present(QWidget& window) {
    window.show();
    window.raise();
    window.activateWindow();
}

const QString kEvidenceKey = QStringLiteral("evidence page");

Job part(const Job& whole, double from, double to) {
    Job out = whole;
    out.progress = [report = whole.progress, from, to](double share, std::string_view what) {
        if (report) report(from + (to - from) * share, what);
    };
    return out;
}

/// The page's content needs what the window may have at hand already: the settled ledger and the draws.
struct EvidenceSource {
    std::shared_ptr<const Study> study;
    Review review;
    std::optional<Ledger> ledger;
    std::optional<Chance> chance;
};

Result<Evidence> makeEvidence(EvidenceSource from, const Job& job) {
    const auto threads = spareThreads();
    if (!from.ledger) {
        auto ledger = settle(*from.study, part(job, 0, 0.4), threads);
        if (!ledger) return ledger.error();
        from.ledger = *std::move(ledger);
    }
    if (!from.chance) {
        ChanceOptions options;
        options.threads = threads;
        auto chance = chanceOf(*from.study, *from.ledger, options, part(job, 0.4, 0.9));
        if (!chance) return chance.error();
        from.chance = *std::move(chance);
    }
    job.report(0.9, CORE_TEXT("drawing the page"));
    return evidenceOf(*from.study, from.review, *from.ledger, *from.chance);
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
    if (!m_variants) {
        m_variants = new VariantsWindow(m_space, m_data.costs, this);
        connect(m_variants, &VariantsWindow::workingWanted, this, &MainWindow::showWorking);
    }
    present(*m_variants);
}

QAction* MainWindow::makeModelsAction() {
    QAction* a = add("models", tr("Mode&ls and values ..."));
    connect(a, &QAction::triggered, this, &MainWindow::openModels);
    return a;
}

void MainWindow::openModels() {
    if (!m_models) m_models = new ModelsWindow(m_space, this);
    present(*m_models);
}

QAction* MainWindow::makeEvidenceAction() {
    QAction* a = add("evidence", tr("Evi&dence page ..."));
    connect(a, &QAction::triggered, this, &MainWindow::askForEvidence);
    return a;
}

// Says what is missing, before a name is asked for.
bool MainWindow::readyForEvidence() {
    const LiveStudy& live = m_space.live;
    if (live.study() && !live.stale() && !live.dragging()) return true;
    m_notice->say(tr("The evidence page tells of a plan that is computed, and this one is not yet. Ask again "
                     "when the status line says it is done."),
                  NoticeLine::Tone::trouble, tr("Compute now"), [this] { m_space.live.computeNow(); });
    return false;
}

void MainWindow::askForEvidence() {
    if (!readyForEvidence()) return;
    const std::pair<QString, QPageSize::PageSizeId> papers[] = {
        {tr("A4 page (*.pdf)"), QPageSize::A4},
        {tr("Letter page (*.pdf)"), QPageSize::Letter},
        {tr("A3 page (*.pdf)"), QPageSize::A3},
    };
    QStringList filters;
    for (const auto& p : papers) filters << p.first;
    const std::filesystem::path plan = m_space.document.path();
    const QString folder =
        plan.empty() ? QDir::homePath() : QString::fromStdString(plan.parent_path().string());
    QString chosen = filters.front();
    QString file = QFileDialog::getSaveFileName(
        this, tr("Write the evidence page"),
        QDir(folder).filePath(tr("%1 evidence.pdf").arg(m_space.document.title())),
        filters.join(QStringLiteral(";;")), &chosen);
    if (file.isEmpty()) return;
    if (!file.endsWith(QLatin1String(".pdf"), Qt::CaseInsensitive)) file += QStringLiteral(".pdf");
    const auto at = std::max<qsizetype>(0, filters.indexOf(chosen));
    writeEvidence(file, papers[at].second);
}

void MainWindow::writeEvidence(const QString& file, int page) {
    if (!readyForEvidence()) return;
    loadPaperFonts(); // here, not first on a worker
    auto from = std::make_shared<EvidenceSource>();
    from->study = m_space.live.study();
    from->review = m_space.live.review();
    if (const Ledger* settled = m_space.live.settled()) from->ledger = *settled;
    if (m_space.chance.chance() && m_space.chance.study() == from->study)
        from->chance = *m_space.chance.chance();
    const auto result = std::make_shared<std::optional<Status>>();
    m_space.jobs.start(
        kEvidenceKey, tr("Writing the evidence page"),
        [from, result, file, page](const Job& job) {
            auto evidence = makeEvidence(std::move(*from), job);
            if (job.stopped()) return;
            *result = evidence ? printEvidence(*evidence, static_cast<QPageSize::PageSizeId>(page),
                                               file.toStdString())
                               : Status(evidence.error());
        },
        [this, result, file](Outcome outcome) {
            if (!*result) {
                m_notice->say(outcome == Outcome::failed
                                  ? tr("The evidence page ended by a fault inside the program. Try again, "
                                       "and save the plan.")
                                  : tr("Stopped; no evidence page was written."),
                              outcome == Outcome::failed ? NoticeLine::Tone::trouble
                                                         : NoticeLine::Tone::plain);
            } else if (!(*result)->ok()) {
                m_notice->say(coreText((*result)->error().sentence()), NoticeLine::Tone::trouble);
            } else {
                m_notice->say(tr("The evidence page is written to %1").arg(QDir::toNativeSeparators(file)),
                              NoticeLine::Tone::plain, tr("Open it"),
                              [file] { QDesktopServices::openUrl(QUrl::fromLocalFile(file)); });
            }
        });
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
