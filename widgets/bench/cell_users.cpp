// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/cell_users.h"

#include "charts/cqi_histogram.h"
#include "charts/ring_histogram.h"
#include "study/user_working.h"
#include "text/figures.h"

#include <QBoxLayout>
#include <QCheckBox>
#include <QPointer>
#include <QScrollArea>

namespace fw {

struct CellUsers::Figures {
    std::shared_ptr<const Study> study;
    ItemId cell;
    std::optional<Study::UserDistances> distances;
    std::optional<Study::UserCqi> cqi;
};

CellUsers::CellUsers(Workspace& space, QWidget* parent)
    : QWidget(parent), m_space(space), m_scroll(new QScrollArea(this)),
      m_rake(new QCheckBox(tr("Spread load as &measured by distance"), this)), m_rings(new RingHistogram),
      m_cqi(new CqiHistogram) {
    setAccessibleName(tr("Users of the chosen macro cell"));
    auto* charts = new QWidget;
    m_row = new QBoxLayout(QBoxLayout::LeftToRight, charts);
    m_row->setContentsMargins(0, 0, 0, 0);
    m_row->setSpacing(0);
    m_row->addWidget(m_rings, 1);
    m_row->addWidget(m_cqi, 1);
    m_scroll->setWidget(charts);
    m_scroll->setWidgetResizable(true);
    m_scroll->setFrameShape(QFrame::NoFrame);
    m_scroll->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    m_scroll->setFocusPolicy(Qt::NoFocus);
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    column->addWidget(m_scroll, 1);
    auto* foot = new QHBoxLayout;
    foot->setContentsMargins(8, 2, 8, 4);
    foot->addWidget(m_rake);
    foot->addStretch(1);
    column->addLayout(foot);
    m_rake->setToolTip(tr("For all cells of the plan: each cell's load is spread over its distances as its "
                          "timing-advance histogram says"));
    connect(m_rake, &QCheckBox::clicked, this, &CellUsers::setRake);
    setFocusProxy(m_rings);
    connect(m_rings, &ShareHistogram::workingWanted, this, [this](int cls) { openWorking(false, cls); });
    connect(m_cqi, &ShareHistogram::workingWanted, this, [this](int cls) { openWorking(true, cls); });
    connect(&space.selection, &Selection::changed, this, &CellUsers::refresh);
    connect(&space.document, &PlanDocument::planChanged, this, &CellUsers::refresh);
    connect(&space.document, &PlanDocument::planReplaced, this, &CellUsers::refresh);
    connect(&space.live, &LiveStudy::shownChanged, this, &CellUsers::refresh);
    connect(&space.live, &LiveStudy::stateChanged, this, &CellUsers::refresh);
    refresh();
}

CellUsers::~CellUsers() { m_space.jobs.cancel(jobKey()); }

ItemId CellUsers::cellOf(const Plan& plan, ItemId chosen) {
    const Chain chain = chainOf(plan, chosen);
    if (chain.mount || !chain.site) return {};
    const auto kind = plan.kindOf(chosen);
    if (kind == Kind::cell) return chosen;
    const Cell* fullest = nullptr;
    for (const Cell& c : plan.cells) {
        const Sector* s = plan.sectors.find(c.sector);
        if (kind == Kind::sector ? c.sector != chosen : !s || s->site != chosen) continue;
        if (!fullest || c.load.dlPrbUse.value_or(-1) > fullest->load.dlPrbUse.value_or(-1)) fullest = &c;
    }
    return fullest ? fullest->id : ItemId{};
}

bool CellUsers::current() const {
    return m_figures && m_figures->cell == m_cell && m_figures->study == m_space.live.study();
}

void CellUsers::refresh() {
    // A drag moves no macro: what is drawn still holds.
    if (m_space.drag.active() || m_space.live.dragging()) return;
    m_cell =
        m_space.document.isOpen() ? cellOf(m_space.document.plan(), m_space.selection.primary()) : ItemId{};
    showRake();
    const auto& study = m_space.live.study();
    if (!isVisible() || !m_cell || !study || m_space.live.stale() || !study->macroCell(m_cell)) {
        if (!m_figures || m_figures->cell != m_cell) sayWhyNot();
        return;
    }
    if (study == m_asked && m_cell == m_askedCell) return;
    auto result = std::make_shared<Figures>(Figures{study, m_cell, {}, {}});
    m_space.jobs.start(
        jobKey(), tr("Counting the users of a cell"),
        [result](const Job&) {
            result->distances = result->study->userDistances(result->cell);
            result->cqi = result->study->userCqi(result->cell);
        },
        [self = QPointer<CellUsers>(this), result](Outcome outcome) {
            if (!self) return;
            if (outcome == Outcome::done)
                self->take(*result);
            else if (self->m_asked == result->study && self->m_askedCell == result->cell)
                self->m_asked.reset();
        },
        JobBoard::Manner::quiet);
    m_asked = study; // after the start: it may call an earlier one's end
    m_askedCell = m_cell;
}

QString CellUsers::jobKey() const { return QStringLiteral("cell users %1").arg(quintptr(this)); }

void CellUsers::sayWhyNot() {
    m_figures.reset();
    m_asked.reset();
    const QString why = !m_cell ? tr("Choose a macro cell to see where its users are.")
                                : tr("The cell's users come with the computation.");
    m_rings->clear(why);
    m_cqi->clear(why);
}

void CellUsers::take(const Figures& figures) {
    if (figures.cell != m_cell) return;
    m_figures = std::make_unique<const Figures>(figures);
    const QString name = QString::fromStdString(figures.study->plan().label(m_cell));
    if (figures.distances)
        m_rings->setUsers(*figures.distances, name,
                          coreText(whyNotRaked(*figures.study, m_cell, *figures.distances)));
    else
        m_rings->clear(
            tr("No timing-advance histogram of %1 has come in: its load is spread as the model has "
               "its users. Add one from a file to see how far away they are.")
                .arg(name));
    if (figures.cqi)
        m_cqi->setUsers(*figures.cqi, name);
    else
        m_cqi->clear(tr("%1 serves nobody in the area of work.").arg(name));
}

void CellUsers::showRake() {
    const bool open = m_space.document.isOpen();
    m_rake->setVisible(open && m_cell);
    if (!open) return;
    m_rake->setChecked(!m_space.document.plan().settings->model.ignoreTimingAdvance);
    m_rake->setEnabled(!m_space.document.readOnly());
}

void CellUsers::setRake(bool on) {
    PlanSettings settings = *m_space.document.plan().settings;
    settings.model.ignoreTimingAdvance = !on;
    const QString text = on ? tr("Spread load as measured by distance") : tr("Leave timing advance aside");
    if (!m_space.document.perform({text.toStdString(), {PutSettings{std::move(settings)}}}).ok()) showRake();
}

void CellUsers::openWorking(bool ofCqi, int cls) {
    if (!m_figures) return;
    const auto k = static_cast<std::size_t>(cls);
    if (ofCqi && m_figures->cqi)
        emit workingWanted(workingOfCqi(*m_figures->study, m_figures->cell, *m_figures->cqi, k));
    if (!ofCqi && m_figures->distances)
        emit workingWanted(workingOfDistance(*m_figures->study, m_figures->cell, *m_figures->distances, k));
}

// Beside one another where both have room, else one below the other.
void CellUsers::resizeEvent(QResizeEvent* e) {
    QWidget::resizeEvent(e);
    const bool wide = width() >= m_rings->minimumSizeHint().width() + m_cqi->minimumSizeHint().width();
    m_row->setDirection(wide ? QBoxLayout::LeftToRight : QBoxLayout::TopToBottom);
}

void CellUsers::showEvent(QShowEvent* e) {
    QWidget::showEvent(e);
    refresh();
}

QSize CellUsers::minimumSizeHint() const {
    return {m_rings->minimumSizeHint().width(), fontMetrics().height() * 5};
}

} // namespace fw
