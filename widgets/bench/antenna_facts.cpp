// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/antenna_facts.h"

#include "charts/polar_chart.h"
#include "plan/edit_makers.h"
#include "text/figures.h"

#include <QComboBox>
#include <QEvent>
#include <QHBoxLayout>
#include <QLabel>
#include <QSignalBlocker>
#include <QVBoxLayout>

#include <algorithm>

namespace fw {

AntennaFacts::AntennaFacts(Workspace& space, QWidget* parent)
    : QWidget(parent), m_space(space), m_choice(new QComboBox(this)), m_refused(new QLabel(this)),
      m_chart(new PolarChart(this)) {
    auto* label = new QLabel(tr("Antenna"), this);
    label->setBuddy(m_choice);
    m_choice->setAccessibleName(tr("Antenna"));
    m_choice->setToolTip(
        tr("The measured cuts that it is computed with. Take cuts in from a table to have more "
           "to choose from; without one the beamwidths as entered count."));
    m_choice->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    m_choice->setMinimumContentsLength(6);
    m_choice->setFocusPolicy(Qt::StrongFocus); // a wheel that scrolls the panel must not change a value
    m_choice->installEventFilter(this);
    m_refused->setWordWrap(true);
    m_refused->setTextFormat(Qt::PlainText);
    m_refused->hide();
    auto* row = new QHBoxLayout;
    row->addWidget(label);
    row->addWidget(m_choice, 1);
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->addLayout(row);
    column->addWidget(m_refused);
    column->addWidget(m_chart);
    connect(m_choice, &QComboBox::activated, this, &AntennaFacts::choose);
}

void AntennaFacts::setItems(const std::vector<ItemId>& items) {
    if (items != m_items) m_refused->hide();
    m_items = items;
    refresh();
}

ItemId AntennaFacts::antennaOf(ItemId item) const {
    const Plan& plan = m_space.document.plan();
    if (const Radio* r = plan.radios.find(item)) return r->antenna;
    const Sector* s = plan.sectors.find(item);
    return s ? s->antenna : ItemId{};
}

void AntennaFacts::fill() {
    std::vector<std::pair<QString, ItemId>> known;
    for (const AntennaCut& a : m_space.document.plan().antennaCuts)
        known.emplace_back(QString::fromStdString(a.name), a.id);
    std::stable_sort(known.begin(), known.end(), [](const auto& a, const auto& b) {
        return QString::localeAwareCompare(a.first, b.first) < 0;
    });
    QStringList names{tr("beamwidths as entered")};
    std::vector<ItemId> ids{ItemId{}};
    for (const auto& [name, id] : known) {
        names << name;
        ids.push_back(id);
    }
    QStringList shown;
    for (int k = 0; k < m_choice->count(); ++k) shown << m_choice->itemText(k);
    if (ids == m_antennas && names == shown) return;
    m_antennas = ids;
    const QSignalBlocker quiet(m_choice);
    m_choice->clear();
    m_choice->addItems(names);
}

void AntennaFacts::refresh() {
    if (m_items.empty()) return;
    fill();
    const ItemId first = antennaOf(m_items.front());
    const bool same =
        std::all_of(m_items.begin(), m_items.end(), [&](ItemId id) { return antennaOf(id) == first; });
    const auto at = std::find(m_antennas.begin(), m_antennas.end(), first);
    m_choice->setCurrentIndex(same && at != m_antennas.end() ? static_cast<int>(at - m_antennas.begin())
                                                             : -1);
    m_choice->setEnabled(!m_space.document.readOnly());
    m_chart->setVisible(m_items.size() == 1);
    if (m_items.size() != 1) return;
    const Plan& plan = m_space.document.plan();
    std::optional<Radio> dragged;
    if (m_space.drag.active()) dragged = m_space.drag.radio(m_items.front());
    m_chart->setAntenna(dragged ? std::optional(hungAntenna(plan, *dragged))
                                : hungAntenna(plan, m_items.front()));
}

void AntennaFacts::choose(int row) {
    if (row < 0 || row >= static_cast<int>(m_antennas.size())) return;
    Edit all;
    QString refused;
    for (const ItemId item : m_items) {
        auto edit =
            fieldEdit(m_space.document.plan(), item, "antenna", m_antennas[static_cast<std::size_t>(row)]);
        if (!edit) {
            refused = coreText(edit.error().sentence());
            break;
        }
        if (all.text.empty()) all.text = edit->text;
        all.changes.insert(all.changes.end(), edit->changes.begin(), edit->changes.end());
    }
    if (refused.isEmpty() && !all.changes.empty())
        if (const Status done = m_space.document.perform(all); !done)
            refused = coreText(done.error().sentence());
    m_refused->setText(refused);
    m_refused->setVisible(!refused.isEmpty());
    refresh();
}

bool AntennaFacts::eventFilter(QObject* watched, QEvent* event) {
    if (event->type() == QEvent::Wheel && watched == m_choice) {
        event->ignore();
        return true;
    }
    return QWidget::eventFilter(watched, event);
}

} // namespace fw
