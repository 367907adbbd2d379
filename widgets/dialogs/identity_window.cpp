// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/identity_window.h"

#include "base/parallel.h"
#include "bench/panel_looks.h"
#include "delivery/integration_sheet.h"
#include "dialogs/dialog_parts.h"
#include "dialogs/identity_ranges.h"
#include "models/finding_index.h"
#include "models/natural_sort.h"
#include "study/settled.h"
#include "text/figures.h"

#include <QDir>
#include <QFileDialog>
#include <QHeaderView>
#include <QListWidget>
#include <QProgressBar>
#include <QTableWidget>
#include <QVBoxLayout>

#include <algorithm>

namespace fw {
namespace {

const QString kIdentityJob = QStringLiteral("identities"), kSheetJob = QStringLiteral("integration sheet");

enum Column { Name, Pci, Roots, Area, Identity, NeighbourCount, Left, kColumns };

Qt::Alignment alignmentOf(int column) {
    return Qt::AlignVCenter | (column == Name || column == Left ? Qt::AlignLeft : Qt::AlignRight);
}

//: %1 what a cell has now, %2 what it is given
QString changeText(const QString& before, const QString& after) {
    return before == after ? after : IdentityWindow::tr("%1 \u2192 %2").arg(before, after);
}

QString wholeText(std::optional<std::int64_t> v) { return v ? QString::number(*v) : unknownFigure(); }

QString rootsText(std::optional<std::int64_t> first, int count, bool shorts) {
    if (!first) return unknownFigure();
    return count == 1 ? QString::number(*first)
                      : QStringLiteral("%1\u2013%2")
                            .arg(*first)
                            .arg((*first + count - 1) % (shorts ? kShortRoots : kLogicalRoots));
}

// The base station's number and the cell's within it, as people say them.
QString identityText(std::optional<std::int64_t> identity, int bits) {
    if (!identity) return unknownFigure();
    return QStringLiteral("%1-%2").arg(*identity >> bits).arg(*identity & ((std::int64_t{1} << bits) - 1));
}

bool holds(const Finding& f, ItemId cell) {
    return std::find(f.subjects.begin(), f.subjects.end(), cell) != f.subjects.end();
}

// "1 blocks, 2 notes"; a dash for none.
template <class Wanted>
QString countText(const std::vector<Finding>& findings, Wanted&& wanted) {
    int counts[3] = {};
    for (const Finding& f : findings)
        if (wanted(f)) ++counts[static_cast<int>(f.severity)];
    QStringList out;
    const auto add = [&](Severity s, const QString& one, const QString& several) {
        const int n = counts[static_cast<int>(s)];
        if (n) out << (n == 1 ? one : several.arg(n));
    };
    add(Severity::block, IdentityWindow::tr("1 blocks"), IdentityWindow::tr("%1 block"));
    add(Severity::warn, IdentityWindow::tr("1 warns"), IdentityWindow::tr("%1 warn"));
    add(Severity::note, IdentityWindow::tr("1 note"), IdentityWindow::tr("%1 notes"));
    return out.isEmpty() ? unknownFigure() : out.join(QStringLiteral(", "));
}

QString all(const std::vector<Finding>& findings) {
    return findings.empty() ? IdentityWindow::tr("none")
                            : countText(findings, [](const Finding&) { return true; });
}

struct Making {
    std::shared_ptr<const Study> study;
    std::optional<Ledger> ledger;
    IdentityOptions options;
    std::shared_ptr<const IdentityPlan> made;
    QString refused;

    void run(const Job& job) {
        if (!ledger) {
            auto settled = settle(*study, job, options.threads);
            if (!settled) {
                if (!job.stopped()) refused = coreText(settled.error().sentence());
                return;
            }
            ledger = *std::move(settled);
        }
        auto plan = identify(*study, *ledger, options, job);
        if (plan)
            made = std::make_shared<const IdentityPlan>(*std::move(plan));
        else if (!job.stopped())
            refused = coreText(plan.error().sentence());
    }
};

} // namespace

IdentityWindow::IdentityWindow(Workspace& space, QWidget* parent) : QDialog(parent), m_space(space) {
    makeWindow();
    connect(&space.live, &LiveStudy::stateChanged, this, &IdentityWindow::follow);
    connect(&space.live, &LiveStudy::shownChanged, this, &IdentityWindow::follow);
    connect(m_ranges, &IdentityRanges::changed, this, &IdentityWindow::follow);
    connect(&space.document, &PlanDocument::planReplaced, this, [this] {
        m_made.reset();
        m_of.reset();
        m_asked.reset();
        m_refused.clear();
        if (m_space.document.isOpen()) m_ranges->setSettings(m_space.document.plan().settings->identities);
        fill();
        showState();
    });
    connect(&space.jobs, &JobBoard::changed, this, [this] {
        if (!isVisible() || !m_running) return;
        for (const JobState& s : m_space.jobs.states())
            if (s.name == tr("Planning identities")) m_bar->setValue(static_cast<int>(1000 * s.share));
    });
    if (space.document.isOpen()) m_ranges->setSettings(space.document.plan().settings->identities);
    showState();
}

IdentityWindow::~IdentityWindow() {
    m_space.jobs.cancel(kIdentityJob);
    m_space.jobs.cancel(kSheetJob);
}

void IdentityWindow::makeWindow() {
    setWindowTitle(tr("Identity plan"));
    setWindowFlag(Qt::Window);
    auto* page = new QVBoxLayout(this);
    m_state = sentenceLabel(this);
    m_state->setAccessibleName(tr("What the plan of identities comes to"));
    m_ranges = new IdentityRanges(this);
    m_table = new QTableWidget(0, kColumns, this);
    m_table->setAccessibleName(tr("Small cells with their identities"));
    m_table->setHorizontalHeaderLabels({tr("Small cell"), tr("PCI"), tr("Root sequences"),
                                        tr("Tracking area"), tr("Base station-cell"), tr("Neighbours"),
                                        tr("Conflicts left")});
    m_table->horizontalHeaderItem(NeighbourCount)
        ->setToolTip(tr("Cells that share its ground, other carriers counted; in brackets those on its own"));
    lookLikeTable(*m_table);
    for (int k = 0; k < kColumns; ++k) m_table->horizontalHeaderItem(k)->setTextAlignment(alignmentOf(k));
    m_table->setSelectionMode(QAbstractItemView::SingleSelection);
    m_table->setEditTriggers(QAbstractItemView::NoEditTriggers);
    m_table->setTabKeyNavigation(false);
    m_table->horizontalHeader()->setSectionResizeMode(Left, QHeaderView::Stretch);
    m_reasons = new QListWidget(this);
    m_reasons->setAccessibleName(tr("Conflicts that are left, and remarks"));
    m_reasons->setWordWrap(true);
    m_reasons->setTextElideMode(Qt::ElideNone);
    m_reasons->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    m_reasons->setMaximumHeight(fontMetrics().height() * 7);
    m_said = sentenceLabel(this);
    lookRefused(*m_said);
    m_said->setAccessibleName(tr("What was refused"));
    m_said->hide();
    for (QWidget* part : std::initializer_list<QWidget*>{m_state, m_ranges, m_said}) page->addWidget(part);
    page->addWidget(m_table, 1);
    page->addWidget(m_reasons);
    m_working = plainButton(tr("&Working ..."), this);
    m_sheet = plainButton(tr("Save &sheet ..."), this);
    m_sheet->setToolTip(tr("The integration sheet: a workbook, or tables of text"));
    m_apply = plainButton(tr("&Apply"), this);
    m_apply->setToolTip(tr("Puts the identities and the ranges into the plan, as one step of the history"));
    const DialogFoot foot = dialogFoot(*this, {m_working, m_sheet, m_apply});
    m_bar = foot.bar;
    m_stop = foot.stop;
    page->addWidget(foot.box);
    connect(m_table, &QTableWidget::itemSelectionChanged, this, [this] {
        if (m_filling) return;
        fillReasons();
        showState();
        if (const CellPlan* c = chosen()) emit itemWanted(c->small);
    });
    connect(m_table, &QTableWidget::activated, this, &IdentityWindow::openWorking);
    connect(m_working, &QPushButton::clicked, this, &IdentityWindow::openWorking);
    connect(m_sheet, &QPushButton::clicked, this, &IdentityWindow::askForSheet);
    connect(m_apply, &QPushButton::clicked, this, &IdentityWindow::apply);
    connect(m_stop, &QPushButton::clicked, this, [this] { m_space.jobs.cancel(kIdentityJob); });
    openAtSize(*this, {fontMetrics().averageCharWidth() * 118, fontMetrics().height() * 40});
}

void IdentityWindow::showEvent(QShowEvent* e) {
    QDialog::showEvent(e);
    follow();
}

void IdentityWindow::hideEvent(QHideEvent* e) {
    QDialog::hideEvent(e);
    m_space.jobs.cancel(kIdentityJob);
}

IdentityOptions IdentityWindow::options() const {
    IdentityOptions out = identityOptionsOf(m_space.document.plan());
    out.ranges = m_ranges->settings();
    out.keep = m_ranges->keeps();
    if (const auto said = preamblesOf(m_ranges->preambles())) out.preambles = *said;
    out.threads = spareThreads();
    return out;
}

// Anew for every computed state of the plan and for other ranges; never in a drag.
void IdentityWindow::follow() {
    if (!isVisible() || !m_space.document.isOpen()) return;
    const LiveStudy& live = m_space.live;
    if (live.study() && !live.dragging() && !live.stale() &&
        (live.study() != m_of || !m_asked || *m_asked != options()))
        plan();
    showState();
}

bool IdentityWindow::current() const {
    return m_made && !m_running && !m_space.live.stale() && m_of == m_space.live.study() &&
           m_asked == options();
}

void IdentityWindow::plan() {
    m_of = m_space.live.study();
    m_asked = options();
    m_running = true;
    m_refused.clear();
    m_bar->setValue(0);
    auto work = std::make_shared<Making>();
    work->study = m_of;
    work->options = *m_asked;
    if (const Ledger* settled = m_space.live.settled(); settled && !m_space.live.settling())
        work->ledger = *settled;
    m_space.jobs.start(
        kIdentityJob, tr("Planning identities"), [work](const Job& job) { work->run(job); },
        [this, work](Outcome outcome) {
            if (work->study != m_of || work->options != m_asked) return; // a later one is on its way
            m_running = false;
            m_refused = work->refused;
            if (outcome == Outcome::done) {
                m_made = work->made;
                fill();
            } else if (outcome == Outcome::failed) {
                m_refused = tr("The plan of identities ended by a fault inside the program.");
                m_made.reset();
                fill();
            } else {
                m_refused = tr("Stopped. It is made when the plan or a range changes, or this window opens.");
                m_asked.reset();
            }
            showState();
        });
}

const CellPlan* IdentityWindow::chosen() const {
    const QList<QTableWidgetItem*> items = m_table->selectedItems();
    if (items.isEmpty() || !m_made) return nullptr;
    const ItemId id{m_table->item(items.front()->row(), Name)->data(Qt::UserRole).toUInt()};
    for (const CellPlan& c : m_made->cells)
        if (c.small == id) return &c;
    return nullptr;
}

void IdentityWindow::fill() {
    const CellPlan* was = chosen();
    const ItemId kept = was ? was->small : ItemId{};
    m_filling = true;
    m_table->setRowCount(0);
    std::vector<CellPlan> cells;
    if (m_made) cells = m_made->cells;
    const Plan& plan = m_of ? m_of->plan() : m_space.document.plan();
    const auto name = [&](const CellPlan& c) { return QString::fromStdString(plan.label(c.small)); };
    std::sort(cells.begin(), cells.end(),
              [&](const CellPlan& a, const CellPlan& b) { return naturalCompare(name(a), name(b)) < 0; });
    m_table->setRowCount(static_cast<int>(cells.size()));
    for (std::size_t k = 0; k < cells.size(); ++k) {
        fillRow(static_cast<int>(k), cells[k]);
        if (cells[k].small == kept) m_table->selectRow(static_cast<int>(k));
    }
    m_table->resizeColumnsToContents();
    m_filling = false;
    fillReasons();
}

void IdentityWindow::fillRow(int row, const CellPlan& c) {
    const Plan& plan = m_of->plan();
    const SmallCell* small = plan.smallCells.find(c.small);
    const CellIdentity now = small ? small->identity : CellIdentity{};
    const bool lte = !small || small->carrier.technology == Technology::lte;
    const int bits = lte ? 8 : 36 - m_made->options.ranges.gnbBits;
    const bool shorts = isShort(c.preamble);
    int neighbours = 0, own = 0;
    for (const IdentityNeighbour& n : m_made->neighbours)
        if (n.cell == c.small) {
            ++neighbours;
            own += n.sameCarrier;
        }
    // What cannot be given stays as it is.
    const auto area = c.trackingArea ? c.trackingArea : now.trackingArea;
    const auto identity = c.cellIdentity ? c.cellIdentity : now.cell;
    const QString pciBefore = c.pciBefore < 0 ? unknownFigure() : QString::number(c.pciBefore);
    const QString texts[kColumns] = {
        QString::fromStdString(plan.label(c.small)),
        changeText(pciBefore, QString::number(c.pci)),
        changeText(rootsText(now.rootSequence, c.roots, shorts), rootsText(c.firstRoot, c.roots, shorts)),
        changeText(wholeText(now.trackingArea), wholeText(area)),
        changeText(identityText(now.cell, bits), identityText(identity, bits)),
        QStringLiteral("%1 (%2)").arg(neighbours).arg(own),
        countText(m_made->after, [&](const Finding& f) { return holds(f, c.small); }),
    };
    for (int k = 0; k < kColumns; ++k) {
        auto* item = new QTableWidgetItem(texts[k]);
        item->setTextAlignment(alignmentOf(k));
        if (texts[k].contains(QChar(0x2192))) {
            QFont bold = m_table->font();
            bold.setBold(true);
            item->setFont(bold);
        }
        m_table->setItem(row, k, item);
    }
    m_table->item(row, Pci)->setToolTip(coreText(whyPci(plan, c)));
    m_table->item(row, Roots)
        ->setToolTip(tr("%1 Preamble format %2.")
                         .arg(coreText(whyRoots(plan, c)), QLatin1String(wordFor(c.preamble))));
    m_table->item(row, Name)->setData(Qt::UserRole, QVariant::fromValue(c.small.v));
    if (identity)
        m_table->item(row, Identity)
            ->setToolTip(QStringLiteral("%1 %2")
                             .arg(lte ? QStringLiteral("ECI") : QStringLiteral("NCI"))
                             .arg(*identity));
}

// Of the chosen cell, or of all of them with what is to be said of the whole.
void IdentityWindow::fillReasons() {
    m_reasons->clear();
    if (!m_made) return;
    const CellPlan* c = chosen();
    for (const Finding& f : m_made->after)
        if (!c || holds(f, c->small))
            //: %1 block, warn or note, %2 a sentence
            m_reasons->addItem(tr("%1: %2").arg(severityWord(f.severity), coreText(f.text)));
    if (c) {
        if (m_reasons->count() == 0) m_reasons->addItem(tr("No conflict is left at this cell."));
        m_reasons->addItem(coreText(whyPci(m_of->plan(), *c)));
        m_reasons->addItem(coreText(whyRoots(m_of->plan(), *c)));
        return;
    }
    m_reasons->addItem(coreText(keptSentence(*m_made)));
    for (const std::string& r : m_made->remarks) m_reasons->addItem(coreText(r));
    if (m_made->after.empty()) m_reasons->addItem(tr("No conflict is left."));
}

QString IdentityWindow::stateText() const {
    if (!m_space.document.isOpen()) return tr("No plan is open.");
    if (!m_made && m_running) return tr("Looking for neighbours and numbers \u2026");
    if (!m_made)
        return m_refused.isEmpty() ? tr("The identities come with the computation.")
                                   : tr("There is no plan of identities.");
    if (!current() && (m_running || m_space.live.stale()))
        return tr("What is shown is of an earlier state; planning anew \u2026");
    const auto changes = std::count_if(m_made->cells.begin(), m_made->cells.end(),
                                       [](const CellPlan& c) { return c.pci != c.pciBefore; });
    //: %1 small cells, %2 of them, %3 and %4 like "1 block, 2 notes" or "none"
    QString out = tr("Small cells: %1, of them with another PCI: %2. Conflicts now: %3; after: %4.")
                      .arg(m_made->cells.size())
                      .arg(changes)
                      .arg(all(m_made->before), all(m_made->after));
    if (m_made->proven) out += QLatin1Char(' ') + tr("No better choice of PCI exists beside those kept.");
    return out;
}

void IdentityWindow::showState() {
    m_state->setText(stateText());
    m_bar->setVisible(m_running);
    m_stop->setVisible(m_running);
    const auto preambles = preamblesOf(m_ranges->preambles());
    const QString refused = preambles ? m_refused : coreText(preambles.error().sentence());
    m_said->setText(refused);
    m_said->setVisible(!refused.isEmpty());
    const bool now = current() && preambles;
    m_apply->setEnabled(now && !m_space.document.readOnly() &&
                        !identityEdit(m_space.document.plan(), *m_made).changes.empty());
    m_sheet->setEnabled(now && !m_space.jobs.runs(kSheetJob));
    m_working->setEnabled(now && chosen());
}

void IdentityWindow::apply() {
    if (!current()) return;
    const Edit edit = identityEdit(m_space.document.plan(), *m_made);
    m_refused.clear();
    if (!edit.changes.empty())
        if (const Status done = m_space.document.perform(edit); !done.ok())
            m_refused = coreText(done.error().sentence());
    showState();
}

void IdentityWindow::openWorking() {
    if (const CellPlan* c = chosen()) emit workingWanted(workingOf(*m_of, *m_made, *c));
}

void IdentityWindow::askForSheet() {
    const QString workbook = tr("Workbook (*.xlsx)"), text = tr("Tables of text (*.csv)");
    const std::filesystem::path plan = m_space.document.path();
    const QString folder =
        plan.empty() ? QDir::homePath() : QString::fromStdString(plan.parent_path().string());
    QString filter = workbook;
    QString file = QFileDialog::getSaveFileName(
        this, tr("Save the integration sheet"),
        QDir(folder).filePath(tr("%1 integration.xlsx").arg(m_space.document.title())),
        workbook + QStringLiteral(";;") + text, &filter);
    if (file.isEmpty()) return;
    const bool named = file.endsWith(QLatin1String(".xlsx"), Qt::CaseInsensitive) ||
                       file.endsWith(QLatin1String(".csv"), Qt::CaseInsensitive);
    if (!named) file += filter == text ? QStringLiteral(".csv") : QStringLiteral(".xlsx");
    writeSheet(file);
}

void IdentityWindow::writeSheet(const QString& file) {
    if (!current()) return;
    const auto result = std::make_shared<std::optional<Status>>();
    m_space.jobs.start(
        kSheetJob, tr("Writing the integration sheet"),
        [result, file, study = m_of, made = m_made](const Job& job) {
            const auto tables = integrationTables(*study, *made);
            if (job.stopped()) return;
            const std::filesystem::path to = file.toStdString();
            *result = file.endsWith(QLatin1String(".xlsx"), Qt::CaseInsensitive)
                          ? writeIntegrationXlsx(to, tables, study->plan())
                          : writeIntegrationCsv(to, tables);
        },
        [this, result, file](Outcome outcome) {
            if (*result && (*result)->ok())
                emit said(tr("The integration sheet is written to %1").arg(QDir::toNativeSeparators(file)));
            else if (*result)
                m_refused = coreText((*result)->error().sentence());
            else if (outcome == Outcome::failed)
                m_refused = tr("The sheet ended by a fault inside the program.");
            showState();
        });
    showState();
}

} // namespace fw
