// SPDX-License-Identifier: GPL-3.0-or-later
// Menus, tools and keys of the window.
#include "main_window.h"

#include "bench/findings_panel.h"
#include "bench/stage_table.h"
#include "canvas/shown_card.h"
#include "canvas/tools/area_tool.h"
#include "canvas/tools/measure_tool.h"
#include "canvas/tools/place_tool.h"
#include "canvas/tools/select_tool.h"
#include "dialogs/new_plan_dialog.h"
#include "dialogs/pack_preview.h"
#include "dialogs/shortcut_list.h"
#include "document/clipboard.h"
#include "plan/edit_makers.h"
#include "shell/recent_plans.h"
#include "shell/tool_strip.h"
#include "theme/window_theme.h"

#include <QActionGroup>
#include <QApplication>
#include <QClipboard>
#include <QFileDialog>
#include <QFileInfo>
#include <QMenuBar>
#include <QMessageBox>
#include <QSettings>
#include <QUndoView>

#include <algorithm>

namespace fw {

QAction* MainWindow::action(const QString& name) const { return findChild<QAction*>(name); }

QAction* MainWindow::add(const char* name, const QString& text, const QList<QKeySequence>& keys) {
    auto* a = new QAction(text, this);
    a->setObjectName(QString::fromLatin1(name));
    // A desktop's own key may be one of ours: twice on one action it would be ambiguous and do nothing.
    QList<QKeySequence> own;
    for (const QKeySequence& k : keys)
        if (!k.isEmpty() && !own.contains(k)) own << k;
    a->setShortcuts(own);
    addAction(a);
    return a;
}

void MainWindow::makeActions() {
    makePlanMenu();
    makeEditMenu();
    makeViewMenu();
    makeCellsMenu();
    makeHelpMenu();
    makeTools();
    fillRecent();
}

void MainWindow::makePlanMenu() {
    QMenu* menu = menuBar()->addMenu(tr("&Plan"));
    QAction* fresh = add("new", tr("&New ..."), {QKeySequence::New});
    QAction* open = add("open", tr("&Open ..."), {QKeySequence::Open});
    QAction* sample = add("sample", tr("Open the sample &Port Merrow"));
    QAction* save = add("save", tr("&Save"), {QKeySequence::Save});
    QAction* saveAs = add("saveAs", tr("Save &as ..."), {QKeySequence(Qt::CTRL | Qt::SHIFT | Qt::Key_S)});
    QAction* lost = add("lostWork", tr("Los&t work ..."));
    QAction* takeIn = add("takeIn", tr("Take files &in ..."), {QKeySequence(Qt::CTRL | Qt::Key_I)});
    QAction* variants =
        add("variants", tr("Variants side b&y side ..."), {QKeySequence(Qt::CTRL | Qt::SHIFT | Qt::Key_V)});
    QAction* audit = add("audit", tr("In&ventory audit ..."));
    QAction* calibrate = add("calibrate", tr("Cali&bration ..."));
    QAction* pack = add("pack", tr("Site plan pac&k ..."), {QKeySequence::Print});
    QAction* close = add("closePlan", tr("&Close plan"), {QKeySequence::Close});
    QAction* quit = add("quit", tr("&Quit"), {QKeySequence::Quit, QKeySequence(Qt::CTRL | Qt::Key_Q)});
    menu->addActions({fresh, open, sample});
    m_recent = menu->addMenu(tr("&Recent plans"));
    menu->addAction(lost);
    menu->addSeparator();
    menu->addActions({save, saveAs});
    menu->addSeparator();
    menu->addActions({takeIn, audit, calibrate, makeModelsAction(), variants, makeEvidenceAction(), pack});
    menu->addSeparator();
    menu->addActions({close, quit});
    sample->setEnabled(!m_data.sample.empty());
    connect(fresh, &QAction::triggered, this, [this] {
        auto* ask = new NewPlanDialog(this);
        ask->setAttribute(Qt::WA_DeleteOnClose);
        connect(ask, &QDialog::accepted, this, [this, ask] {
            // Asked here: the plan may be worked on while the dialog is open.
            const auto plan = ask->plan();
            if (!plan || !mayLeavePlan()) return;
            if (const Status made = m_space.document.adopt(*plan); !made)
                m_notice->say(QString::fromStdString(made.error().sentence()), NoticeLine::Tone::trouble);
        });
        ask->show();
    });
    connect(open, &QAction::triggered, this, [this] {
        const QString file = QFileDialog::getOpenFileName(this, tr("Open a plan"), {}, tr("Plans (*.gpkg)"));
        if (!file.isEmpty()) openPlanFile(file);
    });
    connect(sample, &QAction::triggered, this, &MainWindow::openSample);
    connect(save, &QAction::triggered, this, &MainWindow::save);
    connect(saveAs, &QAction::triggered, this, &MainWindow::saveAs);
    connect(takeIn, &QAction::triggered, this, &MainWindow::askForFiles);
    connect(variants, &QAction::triggered, this, &MainWindow::openVariants);
    connect(audit, &QAction::triggered, this, &MainWindow::openAudit);
    connect(calibrate, &QAction::triggered, this, &MainWindow::openCalibration);
    connect(pack, &QAction::triggered, this, &MainWindow::openPack);
    connect(close, &QAction::triggered, this, [this] {
        if (mayLeavePlan()) m_space.document.close();
    });
    connect(quit, &QAction::triggered, this, &QWidget::close);
    connect(lost, &QAction::triggered, this, &MainWindow::showLostWork);
    connect(m_recent, &QMenu::aboutToShow, this, &MainWindow::fillRecent);
}

void MainWindow::fillRecent() {
    m_recent->clear();
    m_recent->setToolTipsVisible(true);
    for (const QString& file : recentPlans()) {
        QAction* a = m_recent->addAction(QFileInfo(file).fileName());
        a->setToolTip(file);
        a->setEnabled(QFileInfo::exists(file));
        connect(a, &QAction::triggered, this, [this, file] { openPlanFile(file); });
    }
    m_recent->setEnabled(!m_recent->isEmpty());
    if (m_recent->isEmpty()) return;
    m_recent->addSeparator();
    connect(m_recent->addAction(tr("&Forget these")), &QAction::triggered, this, [this] {
        forgetPlans();
        fillRecent();
        m_start->showRecent();
    });
}

void MainWindow::makeEditMenu() {
    QMenu* menu = menuBar()->addMenu(tr("&Edit"));
    QUndoStack& history = m_space.document.history();
    QAction* undo = history.createUndoAction(this, tr("&Undo"));
    QAction* redo = history.createRedoAction(this, tr("&Redo"));
    undo->setObjectName(QStringLiteral("undo"));
    redo->setObjectName(QStringLiteral("redo"));
    undo->setShortcuts({QKeySequence(Qt::CTRL | Qt::Key_Z)});
    redo->setShortcuts({QKeySequence(Qt::CTRL | Qt::SHIFT | Qt::Key_Z), QKeySequence(Qt::CTRL | Qt::Key_Y)});
    addActions({undo, redo});
    QAction* steps = add("history", tr("&History ..."));
    QAction* cut = add("cut", tr("Cu&t"), {QKeySequence::Cut});
    QAction* copy = add("copy", tr("&Copy"), {QKeySequence::Copy});
    QAction* paste = add("paste", tr("&Paste"), {QKeySequence::Paste});
    QAction* duplicate = add("duplicate", tr("&Duplicate"), {QKeySequence(Qt::CTRL | Qt::Key_D)});
    QAction* remove = add("remove", tr("De&lete"), {QKeySequence::Delete});
    QAction* all = add("selectAll", tr("Select &all mounts"), {QKeySequence::SelectAll});
    QAction* place = add("copyPlace", tr("Copy the place under the pointer"),
                         {QKeySequence(Qt::CTRL | Qt::SHIFT | Qt::Key_C)});
    menu->addActions({undo, redo, steps});
    menu->addSeparator();
    menu->addActions({cut, copy, paste, duplicate, remove});
    menu->addSeparator();
    menu->addActions({all, place});
    connect(steps, &QAction::triggered, this, [this] {
        auto* view = new QUndoView(&m_space.document.history());
        view->setAttribute(Qt::WA_DeleteOnClose);
        view->setEmptyLabel(tr("As it was opened"));
        view->setWindowTitle(tr("History"));
        view->setParent(this, Qt::Window);
        view->resize(fontMetrics().averageCharWidth() * 50, fontMetrics().height() * 24);
        view->show();
    });
    const auto say = [this](const Status& done) {
        if (!done) m_notice->say(QString::fromStdString(done.error().sentence()), NoticeLine::Tone::trouble);
    };
    connect(copy, &QAction::triggered, this, [this, say] {
        const QString figures = m_map->tool().copyText(); // what is being measured goes before the selection
        if (figures.isEmpty())
            say(copySelection(m_space));
        else
            QGuiApplication::clipboard()->setText(figures);
    });
    connect(cut, &QAction::triggered, this, [this, say] { say(cutSelection(m_space)); });
    connect(paste, &QAction::triggered, this, [this, say] { say(pasteInto(m_space, m_map->pointer())); });
    connect(duplicate, &QAction::triggered, this, [this, say] { say(duplicateSelection(m_space)); });
    connect(remove, &QAction::triggered, this, [this, say] {
        const auto edit = removeItems(m_space.document.plan(), m_space.selection.items());
        say(edit ? m_space.document.perform(*edit) : Status(edit.error()));
    });
    connect(all, &QAction::triggered, this, [this] {
        std::vector<ItemId> mounts;
        for (const Mount& m : m_space.document.plan().mounts) mounts.push_back(m.id);
        m_space.selection.set(mounts);
    });
    connect(place, &QAction::triggered, m_status, &StatusLine::copyPlace);
}

void MainWindow::makeViewMenu() {
    QMenu* menu = menuBar()->addMenu(tr("&View"));
    QAction* nearer =
        add("zoomIn", tr("&Nearer"), {QKeySequence::ZoomIn, QKeySequence(Qt::CTRL | Qt::Key_Equal)});
    QAction* farther = add("zoomOut", tr("&Farther"), {QKeySequence::ZoomOut});
    QAction* whole = add("zoomPlan", tr("&Whole plan"), {QKeySequence(Qt::CTRL | Qt::Key_0)});
    QAction* chosen = add("zoomSelection", tr("Go to the &selection"), {QKeySequence(Qt::CTRL | Qt::Key_G)});
    QAction* basemap = add("basemap", tr("Bac&kground map ..."), {QKeySequence(Qt::CTRL | Qt::Key_B)});
    menu->addActions({nearer, farther, whole, chosen});
    menu->addSeparator();
    menu->addAction(basemap);
    menu->addSeparator();
    for (std::size_t k = 0; k < m_tables.size(); ++k) {
        QAction* a = add(("stage" + std::to_string(k + 1)).c_str(), stageName(static_cast<Stage>(k)),
                         {QKeySequence(Qt::ALT | static_cast<Qt::Key>(Qt::Key_1 + static_cast<int>(k)))});
        menu->addAction(a);
        // From elsewhere it leads to the stage, open or not; only from inside does it fold it.
        connect(a, &QAction::triggered, this, [this, k] {
            const QWidget* focus = QApplication::focusWidget();
            const bool inside = m_stages->current() == static_cast<int>(k) && focus &&
                                (focus == m_tables[k] || m_tables[k]->isAncestorOf(focus));
            showStage(inside ? -1 : static_cast<int>(k));
        });
    }
    menu->addSeparator();
    QAction* next = add("nextPane", tr("Next &part of the window"), {QKeySequence(Qt::Key_F6)});
    QAction* back = add("previousPane", tr("P&revious part"), {QKeySequence(Qt::SHIFT | Qt::Key_F6)});
    QAction* apart = add("splitBench", tr("&Bench in a window of its own"));
    apart->setCheckable(true);
    menu->addActions({next, back, apart});
    QMenu* look = menu->addMenu(tr("&Light"));
    auto* group = new QActionGroup(this);
    const QString words[] = {tr("As the des&ktop"), tr("&Day"), tr("&Night")};
    const int kept = QSettings().value(QStringLiteral("window/light"), 0).toInt();
    for (int k = 0; k < 3; ++k) {
        QAction* a = look->addAction(words[k]);
        a->setCheckable(true);
        a->setChecked(k == kept);
        group->addAction(a);
        connect(a, &QAction::triggered, this, [k] {
            QSettings().setValue(QStringLiteral("window/light"), k);
            wear(static_cast<Appearance>(k));
        });
    }
    connect(nearer, &QAction::triggered, this, [this] { m_map->zoomBy(1.5); });
    connect(farther, &QAction::triggered, this, [this] { m_map->zoomBy(1 / 1.5); });
    connect(whole, &QAction::triggered, this, [this] { m_map->zoomToPlan(); });
    connect(chosen, &QAction::triggered, this, [this] { goToItem(m_space.selection.primary()); });
    connect(basemap, &QAction::triggered, this, &MainWindow::chooseBasemap);
    connect(m_shownCard, &ShownCard::basemapWanted, this, &MainWindow::chooseBasemap);
    connect(next, &QAction::triggered, this, [this] { chooseNextPane(1); });
    connect(back, &QAction::triggered, this, [this] { chooseNextPane(-1); });
    connect(apart, &QAction::toggled, this, &MainWindow::splitBench);
}

void MainWindow::splitBench(bool apart) {
    if (apart) {
        m_bench->setParent(this, Qt::Window);
        m_bench->setWindowTitle(tr("Bench - %1").arg(m_space.document.title()));
        m_bench->installEventFilter(this);
        m_bench->resize(width(), fontMetrics().height() * 22);
        m_bench->show();
    } else {
        m_bench->removeEventFilter(this);
        m_work->addWidget(m_bench);
        m_bench->show();
    }
}

void MainWindow::makeCellsMenu() {
    QMenu* menu = menuBar()->addMenu(tr("&Cells"));
    QAction* fringe = add("fringe", tr("&Fringe of the chosen cells"), {QKeySequence(Qt::CTRL | Qt::Key_F)});
    QAction* areas = add("fringeToAreas", tr("Make &congestion areas of it"),
                         {QKeySequence(Qt::CTRL | Qt::SHIFT | Qt::Key_F)});
    QAction* next = add("nextFinding", tr("&Next finding"), {QKeySequence(Qt::Key_F4)});
    QAction* back = add("previousFinding", tr("&Previous finding"), {QKeySequence(Qt::SHIFT | Qt::Key_F4)});
    QAction* propose = add("propose", tr("Pr&opose a change"), {QKeySequence(Qt::Key_F3)});
    QAction* take = add("takeProposal", tr("&Take the proposal"), {QKeySequence(Qt::SHIFT | Qt::Key_F3)});
    QAction* again = add("compute", tr("Compute &again"), {QKeySequence(Qt::Key_F5)});
    menu->addActions({fringe, areas});
    menu->addSeparator();
    menu->addActions({next, back, propose, take});
    menu->addSeparator();
    QAction* choose = makeChooseAction();
    menu->addAction(choose);
    menu->addActions(makeAimActions());
    menu->addSeparator();
    const QList<QAction*> consents = makeConsentActions();
    menu->addActions(consents);
    QAction* identities = makeIdentityAction();
    menu->addActions({makeAfterAction(), identities});
    menu->addSeparator();
    menu->addAction(again);
    FindingsPanel* findings = m_bench->findings();
    connect(fringe, &QAction::triggered, this, [this] {
        m_space.shown.setOn(MapLayer::fringes, true);
        m_space.fringes.compute(m_space.selection.items());
    });
    connect(areas, &QAction::triggered, this, [this] {
        const std::vector<ItemId> made = m_space.fringes.toAreas();
        if (!made.empty()) m_space.selection.set(made);
    });
    connect(next, &QAction::triggered, findings, &FindingsPanel::next);
    connect(back, &QAction::triggered, findings, &FindingsPanel::previous);
    propose->setCheckable(true);
    connect(propose, &QAction::triggered, this, [findings, propose](bool on) {
        findings->propose(on);
        propose->setChecked(findings->proposing()); // there may be nothing to propose
    });
    connect(findings, &FindingsPanel::proposed, propose,
            [propose, findings] { propose->setChecked(findings->proposing()); });
    connect(take, &QAction::triggered, findings, &FindingsPanel::take);
    connect(again, &QAction::triggered, &m_space.live, &LiveStudy::computeNow);
    connect(&m_space.fringes, &Fringes::changed, this, &MainWindow::refreshActions);
    m_tables[static_cast<std::size_t>(Stage::load)]->setActions({fringe});
    m_tables[static_cast<std::size_t>(Stage::fringe)]->setActions({fringe, areas});
    m_tables[static_cast<std::size_t>(Stage::cells)]->setActions({choose, propose, take, identities,
                                                                  action(QStringLiteral("duplicate")),
                                                                  action(QStringLiteral("remove"))});
    m_tables[static_cast<std::size_t>(Stage::works)]->setActions(consents);
    m_tables[static_cast<std::size_t>(Stage::pack)]->setActions(
        {action(QStringLiteral("pack")), action(QStringLiteral("evidence"))});
}

void MainWindow::makeTools() {
    auto* group = new QActionGroup(this);
    const auto tool = [&](const char* name, const QString& text, Qt::Key key, auto make) {
        QAction* a = add(name, text, {QKeySequence(key)});
        a->setCheckable(true);
        a->setToolTip(tr("%1 (%2)").arg(text, QKeySequence(key).toString(QKeySequence::NativeText)));
        group->addAction(a);
        connect(a, &QAction::triggered, this, [this, make] { m_map->setTool(make()); });
        return a;
    };
    QAction* select =
        tool("toolSelect", tr("Select"), Qt::Key_S, [this] { return std::make_unique<SelectTool>(*m_map); });
    QAction* place = tool("toolPlace", tr("Place a cell"), Qt::Key_P,
                          [this] { return std::make_unique<PlaceTool>(*m_map); });
    QAction* area = tool("toolArea", tr("Draw an area"), Qt::Key_A,
                         [this] { return std::make_unique<AreaTool>(*m_map); });
    QAction* measure = tool("toolMeasure", tr("Measure"), Qt::Key_M, [this] {
        return std::make_unique<MeasureTool>(*m_map, m_data.field ? &*m_data.field : nullptr);
    });
    select->setChecked(true);
    m_area->findChild<ToolStrip*>(QStringLiteral("tools"))->setTools({select, place, area, measure});
    // Esc in a tool goes back to selecting.
    connect(m_map, &MapView::toolChanged, this, [this, select] {
        if (dynamic_cast<SelectTool*>(&m_map->tool())) select->setChecked(true);
    });
    QMenu* menu = menuBar()->actions().value(3)->menu();
    menu->addSeparator();
    menu->addActions({select, place, area, measure});
}

void MainWindow::makeHelpMenu() {
    QMenu* menu = menuBar()->addMenu(tr("&Help"));
    QAction* keys = add("keys", tr("&Keys"), {QKeySequence(Qt::Key_F1)});
    QAction* about = add("about", tr("&About"));
    menu->addActions({keys, about});
    connect(keys, &QAction::triggered, this, [this] {
        auto* list = new ShortcutList(actions(), this);
        list->setAttribute(Qt::WA_DeleteOnClose);
        list->show();
    });
    connect(about, &QAction::triggered, this, [this] {
        auto* box = new QMessageBox(
            QMessageBox::NoIcon, tr("About Fringewright"),
            tr("Fringewright %1\n\nPlans outdoor small cells that take load off full sectors.\nQt %2. "
               "Magnetic model: %3.\nLicence: GPL-3.0-or-later. Paper face: Noto Sans (OFL 1.1).\n\n"
               "Planning guidance only: local codes and licensed practice come first.")
                .arg(QString::fromStdString(m_data.version), QString::fromLatin1(qVersion()),
                     m_data.field ? QString::fromStdString(m_data.field->name()) : tr("not found")),
            QMessageBox::Ok, this);
        box->setAttribute(Qt::WA_DeleteOnClose);
        box->setModal(false);
        box->show();
    });
}

QList<QAction*> MainWindow::makeConsentActions() {
    const auto said = [this](const char* name, const QString& text, ConsentState state) {
        QAction* a = add(name, text);
        connect(a, &QAction::triggered, this, [this, state] {
            const Plan& plan = m_space.document.plan();
            static_cast<void>( // a refusal is said by the document
                m_space.document.perform(consentEdit(plan, m_space.selection.items(), state)));
        });
        return a;
    };
    return {said("consentAsked", tr("Consent asked"), ConsentState::asked),
            said("consentGiven", tr("Consent given"), ConsentState::given),
            said("consentRefused", tr("Consent refused"), ConsentState::refused), makeRefusalAction(),
            makeRingAction()};
}

void MainWindow::refreshActions() {
    const bool open = m_space.document.isOpen();
    const bool some = open && !m_space.selection.empty();
    const std::initializer_list<const char*> wholePlan{
        "save",      "saveAs",   "pack",        "closePlan",  "zoomIn",      "zoomOut",         "zoomPlan",
        "selectAll", "paste",    "history",     "compute",    "nextFinding", "previousFinding", "toolSelect",
        "toolPlace", "toolArea", "toolMeasure", "splitBench", "copyPlace",   "afterLoad",       "basemap"};
    for (const char* name : wholePlan) action(QString::fromLatin1(name))->setEnabled(open);
    for (const char* name : {"audit", "calibrate", "variants", "evidence", "models", "identities", "choose",
                             "propose", "takeProposal"}) // about the current finding, whatever is chosen
        action(QString::fromLatin1(name))->setEnabled(open);
    for (const char* name : {"cut", "copy", "duplicate", "remove", "zoomSelection"})
        action(QString::fromLatin1(name))->setEnabled(some);
    const auto hasOwner = [&](ItemId id) {
        const Plan& p = m_space.document.plan();
        return p.mounts.find(id) || p.radios.find(id) || p.smallCells.find(id);
    };
    const auto& chosen = m_space.selection.items();
    for (const char* name : {"consentAsked", "consentGiven", "consentRefused", "searchRing"})
        action(QString::fromLatin1(name))
            ->setEnabled(some && std::any_of(chosen.begin(), chosen.end(), hasOwner));
    action(QStringLiteral("fringe"))
        ->setEnabled(some && !macroCellsOf(m_space.document.plan(), m_space.selection.items()).empty());
    action(QStringLiteral("fringeToAreas"))->setEnabled(!m_space.fringes.maps().empty());
}

void MainWindow::openPack() {
    if (!m_pack) m_pack = new PackPreview(m_space, m_data.field ? &*m_data.field : nullptr, this);
    m_pack->setSites(m_tables[static_cast<std::size_t>(Stage::pack)]->chosenSites());
    m_pack->show();
    m_pack->raise();
    m_pack->activateWindow();
}

} // namespace fw
