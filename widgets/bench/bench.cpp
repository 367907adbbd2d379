// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/bench.h"

#include "bench/cell_users.h"
#include "bench/facts_panel.h"
#include "bench/findings_panel.h"
#include "charts/chance_chart.h"
#include "charts/fit_bar.h"
#include "charts/ledger_chart.h"
#include "skyline/skyline_view.h"
#include "theme/window_palette.h"

#include <QHBoxLayout>
#include <QPainter>
#include <QVBoxLayout>

namespace fw {

Bench::Bench(Workspace& space, QWidget* parent)
    : QWidget(parent), m_space(space), m_row(new QSplitter(Qt::Horizontal, this)),
      m_facts(new FactsPanel(space, this)), m_fit(new FitBar(space, this)),
      m_skyline(new SkylineView(space, this)), m_cellUsers(new CellUsers(space, this)),
      m_view(new QStackedWidget(this)), m_ledger(new LedgerChart(space, this)),
      m_chance(new ChanceChart(space, this)), m_findings(new FindingsPanel(space, this)) {
    auto* page = new QHBoxLayout(this);
    page->setContentsMargins(0, 1, 0, 0);
    page->addWidget(m_row);
    auto* worth = new QWidget(this);
    auto* column = new QVBoxLayout(worth);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    column->addWidget(m_fit);
    column->addWidget(m_chance);
    column->addWidget(m_ledger, 1);
    m_row->addWidget(m_facts);
    m_view->addWidget(m_skyline);
    m_view->addWidget(m_cellUsers);
    m_row->addWidget(m_view);
    m_row->addWidget(worth);
    m_row->addWidget(m_findings);
    m_row->setChildrenCollapsible(false);
    m_row->setHandleWidth(5);
    const int em = fontMetrics().averageCharWidth();
    m_facts->setMinimumWidth(em * 41); // numbers are never cut
    m_view->setMinimumWidth(em * 36);  // so that all of it goes on a screen 1280 pixels wide
    m_row->setSizes({em * 41, em * 77, em * 51, em * 49});
    m_row->setStretchFactor(0, 0);
    m_row->setStretchFactor(1, 2);
    for (const int k : {2, 3}) m_row->setStretchFactor(k, 1);
    setAccessibleName(tr("Bench"));
    connect(&space.selection, &Selection::changed, this, &Bench::follow);
    connect(&space.document, &PlanDocument::planReplaced, this, &Bench::follow);
    follow();
}

// Of a macro cell nothing is seen and nothing fits well or badly: its users, and how sure its verdict is,
// stand there instead.
void Bench::follow() {
    const bool open = m_space.document.isOpen();
    const ItemId chosen = m_space.selection.primary();
    const bool users = open && CellUsers::cellOf(m_space.document.plan(), chosen);
    m_view->setCurrentWidget(users ? static_cast<QWidget*>(m_cellUsers) : m_skyline);
    const bool cell = open && m_space.document.plan().cells.find(chosen);
    m_fit->setVisible(!cell);
    m_chance->setVisible(cell);
}

void Bench::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(rect(), c.base);
    p.setPen(c.line);
    p.drawLine(0, 0, width(), 0);
}

} // namespace fw
