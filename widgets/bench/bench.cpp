// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/bench.h"

#include "bench/facts_panel.h"
#include "bench/findings_panel.h"
#include "charts/fit_bar.h"
#include "charts/ledger_chart.h"
#include "skyline/skyline_view.h"
#include "theme/window_palette.h"

#include <QHBoxLayout>
#include <QPainter>
#include <QVBoxLayout>

namespace fw {

Bench::Bench(Workspace& space, QWidget* parent)
    : QWidget(parent), m_row(new QSplitter(Qt::Horizontal, this)), m_facts(new FactsPanel(space, this)),
      m_fit(new FitBar(space, this)), m_skyline(new SkylineView(space, this)),
      m_ledger(new LedgerChart(space, this)), m_findings(new FindingsPanel(space, this)) {
    auto* page = new QHBoxLayout(this);
    page->setContentsMargins(0, 1, 0, 0);
    page->addWidget(m_row);
    auto* worth = new QWidget(this);
    auto* column = new QVBoxLayout(worth);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    column->addWidget(m_fit);
    column->addWidget(m_ledger, 1);
    m_row->addWidget(m_facts);
    m_row->addWidget(m_skyline);
    m_row->addWidget(worth);
    m_row->addWidget(m_findings);
    m_row->setChildrenCollapsible(false);
    m_row->setHandleWidth(5);
    const int em = fontMetrics().averageCharWidth();
    m_facts->setMinimumWidth(em * 36);   // numbers are never cut
    m_skyline->setMinimumWidth(em * 36); // so that all of it goes on a screen 1280 pixels wide
    m_row->setSizes({em * 36, em * 91, em * 44, em * 44});
    for (const int k : {0, 2, 3}) m_row->setStretchFactor(k, 0);
    m_row->setStretchFactor(1, 1);
    setAccessibleName(tr("Bench"));
}

void Bench::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(rect(), c.base);
    p.setPen(c.line);
    p.drawLine(0, 0, width(), 0);
}

} // namespace fw
