// SPDX-License-Identifier: GPL-3.0-or-later
#include "main_window.h"

#include "bench/cell_users.h"
#include "bench/facts_panel.h"
#include "bench/findings_panel.h"
#include "bench/stage_table.h"
#include "canvas/ground_tint.h"
#include "canvas/ring_layer.h"
#include "canvas/shown_card.h"
#include "charts/chance_chart.h"
#include "charts/fit_bar.h"
#include "charts/ledger_chart.h"
#include "dialogs/after_window.h"
#include "dialogs/audit_window.h"
#include "dialogs/basemap_dialog.h"
#include "dialogs/calibration_window.h"
#include "dialogs/choice_window.h"
#include "dialogs/dialog_parts.h"
#include "dialogs/identity_window.h"
#include "dialogs/intake_window.h"
#include "dialogs/pack_preview.h"
#include "dialogs/variants_window.h"
#include "dialogs/wait_aside.h"
#include "dialogs/working_view.h"
#include "document/place_of.h"
#include "shell/tool_strip.h"
#include "skyline/skyline_view.h"

#include <QApplication>
#include <QCloseEvent>
#include <QFileInfo>
#include <QMimeData>
#include <QPushButton>
#include <QSettings>
#include <QStackedWidget>
#include <QTimer>
#include <QVBoxLayout>

namespace fw {

MainWindow::MainWindow(WindowData found) : m_data(std::move(found)) {
    makeParts();
    makeActions();
    connectPlan();
    connectMap();
    connectBench();
    setAcceptDrops(true);
    restore();
    planReplaced();
}

MainWindow::~MainWindow() {
    m_space.jobs.cancelAll();
    // The parts hold on to the workspace, which is a member: they go first.
    delete m_audit;
    delete m_variants;
    delete m_calibration;
    delete m_after;
    delete m_choice;
    delete m_identities;
    delete findChild<BasemapDialog*>();
    delete m_intake;
    delete m_pack;
    delete m_bench;
    delete takeCentralWidget();
}

void MainWindow::makeParts() {
    m_pages = new QStackedWidget(this);
    setCentralWidget(m_pages);
    m_start = new StartPage(m_pages);
    m_start->sampleButton()->setEnabled(!m_data.sample.empty());
    m_pages->addWidget(m_start);

    auto* page = new QWidget(m_pages);
    auto* column = new QVBoxLayout(page);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    m_stages = new StageBar(static_cast<int>(m_tables.size()), page);
    m_notice = new NoticeLine(page);
    m_work = new QSplitter(Qt::Vertical, page);
    m_status = new StatusLine(m_space, page);
    column->addWidget(m_stages);
    column->addWidget(m_notice);
    column->addWidget(m_work, 1);
    column->addWidget(m_status);
    m_pages->addWidget(page);

    m_map = new MapView(m_space);
    m_tint = &m_map->groundTint();
    m_shownCard = new ShownCard(m_space, *m_tint);
    auto* tools = new ToolStrip;
    tools->setObjectName(QStringLiteral("tools"));
    m_area = new MapArea(m_map, tools, m_shownCard, m_work);
    m_bench = new Bench(m_space, m_work);
    connect(m_area, &MapArea::coveredChanged, m_map, &MapView::setCovered);
    m_work->addWidget(m_area);
    m_work->addWidget(m_bench);
    m_work->setStretchFactor(0, 1);
    m_work->setStretchFactor(1, 0);
    m_work->setChildrenCollapsible(false);
    for (std::size_t k = 0; k < m_tables.size(); ++k) {
        m_tables[k] = new StageTable(static_cast<Stage>(k), m_space, m_area);
        m_tables[k]->hide();
    }
}

void MainWindow::connectPlan() {
    PlanDocument& doc = m_space.document;
    doc.setWriter([this](const PlanKeeping::Writing& work) {
        return waitAside(this, tr("Saving %1").arg(m_space.document.title()), work);
    });
    connect(&doc, &PlanDocument::planReplaced, this, &MainWindow::planReplaced);
    connect(&doc, &PlanDocument::refused, this,
            [this](const QString& why) { m_notice->say(why, NoticeLine::Tone::trouble); });
    connect(&doc.history(), &QUndoStack::cleanChanged, this, &MainWindow::refreshTitle);
    connect(&m_space.live, &LiveStudy::failed, this, [this](const QString& why) {
        // A plan that waits for its first rows has no ground to compute on, and that is no trouble.
        if (m_space.document.isOpen() && m_space.document.plan().settings->workArea.empty()) return;
        m_notice->say(why, NoticeLine::Tone::trouble, tr("Compute again"),
                      [this] { m_space.live.computeNow(); });
    });
    connect(&m_space.fringes, &Fringes::failed, this,
            [this](const QString& why) { m_notice->say(why, NoticeLine::Tone::trouble); });
    connectKeeping();
    // Words of the stages follow everything, but not in the frame of a drag.
    auto* words = new QTimer(this);
    words->setSingleShot(true);
    words->setInterval(60);
    connect(words, &QTimer::timeout, this, [this, words] {
        if (m_space.drag.active())
            words->start();
        else
            refreshStages();
    });
    const auto later = [words] {
        if (!words->isActive()) words->start();
    };
    connect(&doc, &PlanDocument::planChanged, words, later);
    connect(&m_space.live, &LiveStudy::shownChanged, words, later);
    connect(&m_space.live, &LiveStudy::settledChanged, words, later);
    connect(&m_space.live, &LiveStudy::stateChanged, words, later);
    connect(m_stages, &StageBar::chosen, this, &MainWindow::showStage);
    connect(m_start, &StartPage::sampleWanted, this, &MainWindow::openSample);
    connect(m_start, &StartPage::planWanted, this, &MainWindow::openPlanFile);
    connect(m_start, &StartPage::openWanted, this, [this] { action(QStringLiteral("open"))->trigger(); });
    connect(m_start, &StartPage::filesWanted, this, &MainWindow::askForFiles);
    connect(m_start, &StartPage::newPlanWanted, this, [this] { action(QStringLiteral("new"))->trigger(); });
}

void MainWindow::connectMap() {
    connect(m_map, &MapView::hintChanged, m_status, &StatusLine::setHint);
    connect(m_map, &MapView::toolChanged, this, [this] { m_status->setHint(m_map->tool().hint()); });
    connect(m_map, &MapView::pointerMoved, this, [this] {
        QString value;
        if (m_map->pointer() && !m_space.drag.active())
            if (const auto text = m_tint->valueAt(*m_map->pointer())) value = *text;
        if (m_map->pointer())
            if (const QString text = residualAt(*m_map->pointer()); !text.isEmpty()) value = text;
        if (m_map->pointer())
            if (const QString text = m_ring->textAt(m_map->camera(), *m_map->pointer()); !text.isEmpty())
                value = text;
        m_status->setPlace(m_map->pointer(), value);
    });
    connect(m_map, &MapView::cameraChanged, this,
            [this] { m_status->setScale(m_map->camera().metresPerPixel); });
    connect(&m_space.selection, &Selection::changed, this, [this] {
        m_map->setGhosts({});
        dropRing();
        refreshActions();
    });
    for (StageTable* table : m_tables) {
        connect(table, &StageTable::itemActivated, this, [this](ItemId item) { goToItem(item); });
    }
}

void MainWindow::connectBench() {
    FindingsPanel* findings = m_bench->findings();
    if (m_data.field) m_bench->facts()->setMagneticField(*m_data.field);
    connect(findings, &FindingsPanel::goTo, this, [this](PlanePoint at, ItemId) { goToPlace(at); });
    connect(findings, &FindingsPanel::proposed, this,
            [this](const Ghosts& ghosts) { m_map->setGhosts(ghosts); });
    connect(findings, &FindingsPanel::workingWanted, this, &MainWindow::showWorking);
    connect(m_bench->facts(), &FactsPanel::workingWanted, this, &MainWindow::showWorking);
    connect(m_bench->fit(), &FitBar::workingWanted, this, [this] {
        if (m_space.live.study() && m_bench->fit()->fit())
            showWorking(workingOf(*m_space.live.study(), *m_bench->fit()->fit()));
    });
    connect(m_bench->ledger(), &LedgerChart::workingWanted, this, &MainWindow::showWorking);
    connect(m_bench->cellUsers(), &CellUsers::workingWanted, this, &MainWindow::showWorking);
    connect(m_bench->chance(), &ChanceChart::workingWanted, this, &MainWindow::showWorking);
    connect(m_bench->skyline(), &SkylineView::markActivated, this, [this](ItemId item) {
        m_space.selection.setOne(item);
        goToItem(item);
    });
}

void MainWindow::showWorking(const Working& working) {
    if (!m_working) m_working = new WorkingView(this);
    m_working->setWorking(working);
    m_working->show();
    m_working->raise();
}

void MainWindow::goToItem(ItemId item) {
    if (const auto at = placeOf(m_space.document.plan(), item)) goToPlace(*at);
}

void MainWindow::goToPlace(PlanePoint at) {
    // From afar a mount is a dot among others: come near enough to see what it faces.
    constexpr double kNearEnough = 1.0;
    Camera camera = m_map->camera();
    if (camera.metresPerPixel > 2 * kNearEnough) {
        camera.centre = at;
        camera.metresPerPixel = kNearEnough;
        m_map->setCamera(camera);
    }
    m_map->reveal(at);
}

void MainWindow::planReplaced() {
    const bool open = m_space.document.isOpen();
    m_pages->setCurrentIndex(open ? 1 : 0);
    m_notice->putAway();
    if (!open) {
        m_start->showRecent();
        lookForLostWork();
    }
    if (open) {
        m_map->zoomToPlan();
        m_map->setFocus();
    }
    refreshTitle();
    refreshStages();
    refreshActions();
}

void MainWindow::refreshTitle() {
    const PlanDocument& doc = m_space.document;
    if (!doc.isOpen())
        setWindowTitle(tr("Fringewright"));
    else
        setWindowTitle(
            (doc.readOnly() ? tr("%1[*] (reading only) - Fringewright") : tr("%1[*] - Fringewright"))
                .arg(doc.title()));
    setWindowModified(doc.isOpen() && !m_space.document.history().isClean());
    setWindowFilePath(QString::fromStdString(doc.path().string()));
}

void MainWindow::refreshStages() {
    for (std::size_t k = 0; k < m_tables.size(); ++k) {
        const auto stage = static_cast<Stage>(k);
        m_stages->setWords(static_cast<int>(k), stageName(stage), stageCount(stage, m_space),
                           stageState(stage, m_space));
    }
}

void MainWindow::showStage(int stage) {
    m_stages->setCurrent(stage);
    m_area->setTable(stage < 0 ? nullptr : m_tables[static_cast<std::size_t>(stage)]);
    if (stage >= 0) m_tables[static_cast<std::size_t>(stage)]->setFocus();
}

void MainWindow::chooseNextPane(int step) {
    std::vector<QWidget*> panes{m_stages->button(std::max(0, m_stages->current()))};
    if (m_area->table()) panes.push_back(m_area->table());
    for (QWidget* w : {static_cast<QWidget*>(m_area->findChild<ToolStrip*>(QStringLiteral("tools"))),
                       static_cast<QWidget*>(m_map), static_cast<QWidget*>(m_shownCard),
                       static_cast<QWidget*>(m_bench->facts()), static_cast<QWidget*>(m_bench->fit()),
                       static_cast<QWidget*>(m_bench->skyline()), static_cast<QWidget*>(m_bench->cellUsers()),
                       static_cast<QWidget*>(m_bench->ledger()), static_cast<QWidget*>(m_bench->findings())})
        panes.push_back(w);
    QWidget* now = QApplication::focusWidget();
    const int n = static_cast<int>(panes.size());
    int at = step > 0 ? -1 : 0;
    for (int k = 0; k < n; ++k)
        if (now && (panes[static_cast<std::size_t>(k)] == now ||
                    panes[static_cast<std::size_t>(k)]->isAncestorOf(now)))
            at = k;
    for (int tries = 0; tries < n; ++tries) {
        at = (at + step + n) % n;
        QWidget* pane = panes[static_cast<std::size_t>(at)];
        if (!pane->isVisible()) continue;
        pane->window()->activateWindow();
        pane->setFocus(Qt::ShortcutFocusReason);
        return;
    }
}

void MainWindow::closeEvent(QCloseEvent* event) {
    if (!mayLeavePlan()) {
        event->ignore();
        return;
    }
    remember();
    m_space.jobs.cancelAll();
    event->accept();
}

void MainWindow::remember() {
    QSettings s;
    s.setValue(QStringLiteral("window/geometry"), saveGeometry());
    s.setValue(QStringLiteral("window/work"), m_work->saveState());
    s.setValue(QStringLiteral("window/bench"), m_bench->state());
    s.setValue(QStringLiteral("window/table"), m_area->tableWidth());
    s.setValue(QStringLiteral("window/stage"), m_stages->current());
    s.setValue(QStringLiteral("map/shown"), m_space.shown.state());
}

void MainWindow::restore() {
    const QSettings s;
    openAtSize(*this, {1480, 940});
    restoreGeometry(s.value(QStringLiteral("window/geometry")).toByteArray());
    if (!m_work->restoreState(s.value(QStringLiteral("window/work")).toByteArray()))
        m_work->setSizes({600, fontMetrics().height() * 17});
    m_bench->setState(s.value(QStringLiteral("window/bench")).toByteArray());
    m_area->setTableWidth(s.value(QStringLiteral("window/table"), 0).toInt());
    m_space.shown.setState(s.value(QStringLiteral("map/shown")).toString());
    showStage(s.value(QStringLiteral("window/stage"), 0).toInt());
}

namespace {

QStringList droppedFiles(const QMimeData* data) {
    QStringList files;
    for (const QUrl& url : data->urls())
        if (url.isLocalFile()) files << url.toLocalFile();
    return files;
}

} // namespace

void MainWindow::dragEnterEvent(QDragEnterEvent* event) {
    if (!droppedFiles(event->mimeData()).isEmpty()) event->acceptProposedAction();
}

void MainWindow::dropEvent(QDropEvent* event) {
    const QStringList files = droppedFiles(event->mimeData());
    event->acceptProposedAction();
    filesDropped(files);
}

bool MainWindow::eventFilter(QObject* watched, QEvent* event) {
    // The bench in a window of its own goes back when that window is closed.
    if (watched == m_bench && event->type() == QEvent::Close)
        action(QStringLiteral("splitBench"))->setChecked(false);
    return QMainWindow::eventFilter(watched, event);
}

} // namespace fw
