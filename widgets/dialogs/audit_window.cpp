// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/audit_window.h"

#include "bench/panel_looks.h"
#include "dialogs/dialog_parts.h"
#include "models/audit_model.h"
#include "text/figures.h"

#include <QHBoxLayout>
#include <QHeaderView>
#include <QKeyEvent>
#include <QLabel>
#include <QPushButton>
#include <QSignalBlocker>
#include <QTableView>
#include <QVBoxLayout>

#include <algorithm>

namespace fw {

namespace {

const QString kAuditJob = QStringLiteral("audit");

} // namespace

struct AuditWindow::Run {
    std::uint64_t round = 0;
    std::vector<AuditFinding> findings;
};

AuditWindow::AuditWindow(Workspace& space, QWidget* parent) : QDialog(parent), m_space(space) {
    makeWindow();
    const auto anew = [this] {
        m_fresh = false;
        if (isVisible()) audit();
    };
    connect(&space.document, &PlanDocument::planChanged, this, anew);
    connect(&space.document, &PlanDocument::planReplaced, this, [this, anew] {
        m_became->hide();
        anew();
    });
    connect(m_model, &AuditModel::ticksChanged, this, &AuditWindow::showState);
    showState();
}

AuditWindow::~AuditWindow() { m_space.jobs.cancel(kAuditJob); }

void AuditWindow::makeWindow() {
    setWindowTitle(tr("Inventory audit"));
    auto* page = new QVBoxLayout(this);
    m_state = sentenceLabel(this);
    m_state->setAccessibleName(tr("What the audit found"));
    QFont bold = m_state->font();
    bold.setBold(true);
    m_state->setFont(bold);
    m_became = sentenceLabel(this);
    m_became->hide();
    m_model = new AuditModel(m_space.document, this);
    m_table = new QTableView(this);
    m_table->setAccessibleName(tr("Findings of the audit"));
    m_table->setModel(m_model);
    lookLikeTable(*m_table);
    m_table->setSelectionMode(QAbstractItemView::SingleSelection);
    m_table->setEditTriggers(QAbstractItemView::NoEditTriggers);
    m_table->setWordWrap(true);
    m_table->verticalHeader()->setDefaultSectionSize(fontMetrics().height() * 5 / 2);
    m_table->horizontalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    m_table->installEventFilter(this);
    const int em = fontMetrics().averageCharWidth();
    for (const auto& [section, wide] : {std::pair{0, 8}, {1, 26}, {2, 26}, {3, 22}})
        m_table->setColumnWidth(section, em * wide);
    m_details = sentenceLabel(this);
    m_details->setAccessibleName(tr("The chosen finding"));
    m_details->setMinimumHeight(fontMetrics().height() * 4);
    m_details->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    page->addWidget(m_state);
    page->addWidget(m_became);
    page->addWidget(m_table, 1);
    page->addWidget(m_details);
    page->addWidget(makeFoot());
    openAtSize(*this, {em * 136, fontMetrics().height() * 34});
    connect(m_table->selectionModel(), &QItemSelectionModel::currentRowChanged, this,
            &AuditWindow::rowChosen);
}

QWidget* AuditWindow::makeFoot() {
    auto* box = new QWidget(this);
    auto* row = new QHBoxLayout(box);
    row->setContentsMargins(0, 0, 0, 0);
    m_all = plainButton(tr("Tick a&ll"), box);
    m_all->setToolTip(tr("Ticks every proposal that can be applied, or takes all ticks away"));
    m_apply = plainButton(tr("&Apply ticked"), box);
    auto* close = plainButton(tr("C&lose"), box);
    row->addWidget(m_all);
    row->addStretch(1);
    row->addWidget(m_apply);
    row->addWidget(close);
    connect(m_all, &QPushButton::clicked, this, [this] { m_model->tickAll(m_model->ticked().empty()); });
    connect(m_apply, &QPushButton::clicked, this, &AuditWindow::applyTicked);
    connect(close, &QPushButton::clicked, this, &QDialog::close);
    return box;
}

void AuditWindow::setMeasured(std::shared_ptr<const std::vector<MeasuredPoint>> points) {
    m_measured = std::move(points);
    evidenceChanged();
}

void AuditWindow::setCounted(std::vector<std::string> cells) {
    if (cells == m_counted) return;
    m_counted = std::move(cells);
    evidenceChanged();
}

void AuditWindow::evidenceChanged() {
    m_fresh = false;
    if (isVisible()) audit();
}

AuditEvidence AuditWindow::evidence() const {
    AuditEvidence e;
    if (m_measured) e.measured = *m_measured;
    e.countedCells = m_counted;
    return e;
}

void AuditWindow::audit() {
    ++m_round;
    if (!m_space.document.isOpen()) {
        m_space.jobs.cancel(kAuditJob);
        m_model->setFindings({});
        m_fresh = true;
        showCurrent();
        return;
    }
    auto run = std::make_shared<Run>();
    run->round = m_round;
    const auto work = [run, plan = m_space.document.plan(), measured = m_measured,
                       counted = m_counted](const Job&) {
        AuditEvidence e;
        if (measured) e.measured = *measured;
        e.countedCells = counted;
        run->findings = auditInventory(plan, e);
    };
    m_space.jobs.start(kAuditJob, tr("Looking through the inventory"), work,
                       [this, run](Outcome outcome) { audited(outcome, *run); });
    showState();
}

void AuditWindow::audited(Outcome outcome, Run& run) {
    if (run.round != m_round || outcome != Outcome::done) return; // a newer one is on its way
    const int row = m_table->currentIndex().row();
    AuditFinding chosen;
    if (row >= 0 && row < m_model->rowCount()) chosen = m_model->at(row);
    m_fresh = true;
    m_model->setFindings(std::move(run.findings));
    // What was read stays chosen where it is still there.
    for (int r = 0; r < m_model->rowCount(); ++r) {
        if (m_model->at(r).check != chosen.check || m_model->at(r).subjects != chosen.subjects) continue;
        const QSignalBlocker quiet(m_table->selectionModel());
        m_table->setCurrentIndex(m_model->index(r, AuditModel::What));
        break;
    }
    m_table->viewport()->update();
    showCurrent();
    showState();
}

QString AuditWindow::stateText() const {
    if (!m_space.document.isOpen()) return tr("Open a plan; its inventory is looked through then.");
    if (m_space.document.plan().macroSites.empty())
        return tr("The plan has no macro sites yet. Take sites, sectors and cells in first.");
    if (!m_fresh && m_model->rowCount() == 0) return tr("Looking through the inventory ...");
    const auto& all = m_model->findings();
    if (all.empty()) return tr("Nothing in the inventory is doubtful.");
    int can = 0, blocks = 0, warns = 0;
    for (const AuditFinding& f : all) {
        can += f.edit.has_value();
        blocks += f.severity == Severity::block;
        warns += f.severity == Severity::warn;
    }
    const int n = m_model->rowCount();
    QStringList weights;
    if (blocks)
        weights << (blocks == 1 ? tr("one blocks the computation")
                                : tr("%n block the computation", nullptr, blocks));
    if (warns) weights << (warns == 1 ? tr("one warns") : tr("%n warn", nullptr, warns));
    if (const int notes = n - blocks - warns; notes > 0)
        weights << (notes == 1 ? tr("one is to be known") : tr("%n are to be known", nullptr, notes));
    //: %1 "3 findings", %2 "1 block the computation, 2 warn", %3 "2 can be applied"
    return tr("%1: %2. %3, %4.")
        .arg(n == 1 ? tr("One finding") : tr("%n findings", nullptr, n),
             weights.join(tr(", ", "between counts")),
             can == 1 ? tr("One proposal can be applied") : tr("%n proposals can be applied", nullptr, can),
             n - can == 1 ? tr("one is for you") : tr("%n are for you", nullptr, n - can));
}

void AuditWindow::showState() {
    m_state->setText(stateText());
    const auto ticks = static_cast<int>(m_model->ticked().size());
    const auto& all = m_model->findings();
    const bool any =
        std::any_of(all.begin(), all.end(), [](const AuditFinding& f) { return f.edit.has_value(); });
    m_table->setEnabled(m_model->rowCount() > 0);
    m_all->setEnabled(any);
    m_all->setText(ticks > 0 ? tr("Tick &none") : tr("Tick a&ll"));
    m_apply->setText(ticks > 0 ? tr("&Apply ticked (%n)", nullptr, ticks) : tr("&Apply ticked"));
    m_apply->setEnabled(ticks > 0 && m_fresh && !m_space.document.readOnly());
    m_apply->setToolTip(m_space.document.readOnly() ? tr("The plan is open for reading only") : QString());
}

void AuditWindow::showCurrent() {
    const int row = m_table->currentIndex().row();
    if (row < 0 || row >= m_model->rowCount()) {
        m_details->setText(
            m_model->rowCount() > 0 ? tr("Choose a row to see it on the map and read it whole.") : QString());
        return;
    }
    const AuditFinding& f = m_model->at(row);
    m_details->setText(tr("%1\n%2\nLimit: %3")
                           .arg(coreText(f.text),
                                m_model->index(row, AuditModel::Proposal).data(Qt::DisplayRole).toString(),
                                coreText(f.source)));
}

void AuditWindow::rowChosen() {
    showCurrent();
    const int row = m_table->currentIndex().row();
    if (row < 0 || row >= m_model->rowCount()) return;
    std::vector<ItemId> items;
    for (const ItemId id : m_model->at(row).subjects)
        if (m_space.document.plan().has(id)) items.push_back(id);
    if (items.empty()) return;
    m_space.selection.set(items, items.front());
    emit itemWanted(items.front());
}

void AuditWindow::applyTicked() {
    if (!m_fresh) return;
    const auto edit = auditEdit(m_space.document.plan(), evidence(), m_model->findings(), m_model->ticked());
    const auto say = [this](const QString& text) {
        m_became->setText(text);
        m_became->show();
    };
    if (!edit) return say(coreText(edit.error().sentence()));
    const auto left = static_cast<int>(edit->left.size()), applied = static_cast<int>(edit->applied.size());
    m_model->tickAll(false);
    if (const Status s = m_space.document.perform(edit->edit); !s.ok())
        return say(coreText(s.error().sentence()));
    QString text = applied == 1
                       ? tr("One proposal is applied. Undo takes it back.")
                       : tr("%n proposals are applied as one step. Undo takes them back.", nullptr, applied);
    if (left > 0)
        text += QLatin1Char(' ') + tr("%n of the ticked are other proposals now that the rest is applied: "
                                      "look at them anew.",
                                      nullptr, left);
    say(text);
}

void AuditWindow::showEvent(QShowEvent* e) {
    QDialog::showEvent(e);
    if (!m_fresh) audit();
    showState();
}

bool AuditWindow::eventFilter(QObject* watched, QEvent* event) {
    if (watched == m_table && event->type() == QEvent::KeyPress &&
        static_cast<QKeyEvent*>(event)->key() == Qt::Key_Space) {
        const int row = m_table->currentIndex().row();
        if (row >= 0 && m_model->canTick(row)) {
            const auto now = m_model->index(row, AuditModel::Tick).data(Qt::CheckStateRole).toInt();
            m_model->setTicked(row, now != Qt::Checked);
        }
        return true;
    }
    return QDialog::eventFilter(watched, event);
}

} // namespace fw
