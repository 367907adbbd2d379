// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/facts_panel.h"

#include "bench/facts_section.h"
#include "bench/panel_looks.h"
#include "delivery/site_works_text.h"
#include "models/item_table.h"
#include "models/words.h"

#include <QLabel>
#include <QLineEdit>
#include <QScrollArea>
#include <QScrollBar>
#include <QVBoxLayout>

#include <algorithm>
#include <map>

namespace fw {

struct FactsPanel::Impl {
    Impl(FactsPanel& o, Workspace& w) : owner(o), space(w) {}

    using Chosen = std::map<Kind, std::vector<ItemId>>;
    [[nodiscard]] Chosen chosen() const;
    void choose();
    void refresh();
    FactsSection& sectionOf(Kind kind);

    FactsPanel& owner;
    Workspace& space;
    std::optional<MagneticField> field;
    QScrollArea* scroll = nullptr;
    QWidget* inside = nullptr;
    QVBoxLayout* column = nullptr;
    QLabel *head = nullptr, *empty = nullptr;
    std::map<Kind, FactsSection*> sections;
};

namespace {

// Along the chain, from what carries to what is carried.
constexpr Kind kOrder[] = {Kind::mount,      Kind::siteWorks, Kind::radio,        Kind::smallCell,
                           Kind::macroSite,  Kind::sector,    Kind::cell,         Kind::congestionArea,
                           Kind::building,   Kind::tree,      Kind::overheadLine, Kind::street,
                           Kind::fibrePoint, Kind::powerTap};

void addOnce(std::vector<ItemId>& to, ItemId id) {
    if (id && std::find(to.begin(), to.end(), id) == to.end()) to.push_back(id);
}

} // namespace

FactsPanel::FactsPanel(Workspace& space, QWidget* parent)
    : QWidget(parent), m_impl(std::make_unique<Impl>(*this, space)) {
    Impl& i = *m_impl;
    i.scroll = new QScrollArea(this);
    i.scroll->setWidgetResizable(true);
    i.scroll->setFrameShape(QFrame::NoFrame);
    i.scroll->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    i.scroll->setFocusPolicy(Qt::NoFocus);
    i.inside = new QWidget;
    i.column = new QVBoxLayout(i.inside);
    i.column->setContentsMargins(0, 4, 0, 4);
    i.column->setSpacing(2);
    i.head = new QLabel(i.inside);
    i.head->setWordWrap(true);
    i.head->setContentsMargins(8, 0, 8, 2);
    i.empty = new QLabel(i.inside);
    i.empty->setWordWrap(true);
    i.empty->setAlignment(Qt::AlignCenter);
    i.empty->setMargin(12);
    i.column->addWidget(i.head);
    i.column->addWidget(i.empty);
    i.column->addStretch(1);
    i.scroll->setWidget(i.inside);
    auto* all = new QVBoxLayout(this);
    all->setContentsMargins(0, 0, 0, 0);
    all->addWidget(i.scroll);
    setAccessibleName(tr("Facts"));
    lookSoft(*i.empty);
    lookSoft(*i.head);
    connect(&space.selection, &Selection::changed, this, [this] { m_impl->choose(); });
    connect(&space.document, &PlanDocument::planChanged, this, [this] { m_impl->choose(); });
    connect(&space.document, &PlanDocument::planReplaced, this, [this] { m_impl->choose(); });
    connect(&space.live, &LiveStudy::shownChanged, this, [this] {
        if (!m_impl->space.drag.active()) m_impl->refresh(); // moved() follows
    });
    connect(&space.rates, &LiveRates::changed, this, [this] { m_impl->refresh(); });
    connect(&space.uplink, &LiveUplink::changed, this, [this] { m_impl->refresh(); });
    connect(&space.indoor, &LiveIndoor::changed, this, [this] { m_impl->refresh(); });
    connect(&space.drag, &LiveDrag::moved, this, [this] { m_impl->refresh(); });
    connect(&space.drag, &LiveDrag::ended, this, [this] { m_impl->refresh(); });
    i.choose();
}
FactsPanel::~FactsPanel() = default;

void FactsPanel::setMagneticField(MagneticField field) {
    m_impl->field = std::move(field);
    m_impl->refresh();
}

FactsSection& FactsPanel::Impl::sectionOf(Kind kind) {
    FactsSection*& s = sections[kind];
    if (s) return *s;
    s = new FactsSection(kind, space, field, inside);
    s->hide();
    QObject::connect(s, &FactsSection::workingWanted, &owner, &FactsPanel::workingWanted);
    int at = 2; // behind head and empty text, in the order of the chain
    for (const Kind k : kOrder) {
        if (k == kind) break;
        at += sections.count(k) && sections[k];
    }
    column->insertWidget(at, s);
    return *s;
}

FactsPanel::Impl::Chosen FactsPanel::Impl::chosen() const {
    Chosen out;
    const Plan& plan = space.document.plan();
    const auto& items = space.selection.items();
    for (const ItemId id : items) {
        const auto kind = plan.kindOf(id);
        if (!kind) continue;
        // One alone brings its whole chain; several bring what they hang on and what hangs on them.
        const Chain c = chainOf(plan, id);
        addOnce(out[Kind::mount], c.mount);
        addOnce(out[Kind::radio], c.radio);
        addOnce(out[Kind::smallCell], c.smallCell);
        if (items.size() == 1) {
            addOnce(out[Kind::macroSite], c.site);
            addOnce(out[Kind::sector], c.sector);
        }
        addOnce(out[*kind], id);
        if (items.size() == 1 && c.mount)
            if (const SiteWorks* w = worksOf(plan, c.mount)) addOnce(out[Kind::siteWorks], w->id);
    }
    return out;
}

void FactsPanel::Impl::choose() {
    const Chosen now = chosen();
    for (const auto& [kind, section] : sections) {
        const auto it = now.find(kind);
        if (it == now.end() || it->second.empty()) {
            section->setItems({});
            section->hide();
        }
    }
    bool any = false;
    for (const auto& [kind, ids] : now) {
        if (ids.empty() || itemFields(kind).empty()) continue;
        FactsSection& s = sectionOf(kind);
        s.setItems(ids);
        s.show();
        any = true;
    }
    const auto& items = space.selection.items();
    QStringList counts;
    std::map<Kind, int> kinds;
    for (const ItemId id : items)
        if (const auto kind = space.document.plan().kindOf(id)) ++kinds[*kind];
    for (const auto& [kind, n] : kinds) counts << kindCount(kind, n);
    head->setVisible(items.size() > 1);
    if (items.size() > 1) head->setText(FactsPanel::tr("Chosen: %1").arg(listed(counts)));
    empty->setVisible(!any);
    if (!any)
        empty->setText(
            space.document.isOpen()
                ? FactsPanel::tr("Nothing is chosen. Click a mount, mast, area or house on the map, "
                                 "or a row of the table.")
                : FactsPanel::tr("No plan is open."));
}

void FactsPanel::Impl::refresh() {
    for (const auto& [kind, section] : sections)
        if (!section->items().empty()) section->refresh();
}

FactsSection* FactsPanel::section(Kind kind) const {
    const auto it = m_impl->sections.find(kind);
    return it == m_impl->sections.end() || it->second->isHidden() ? nullptr : it->second;
}

void FactsPanel::editField(Kind kind, const QString& key) {
    FactsSection* s = section(kind);
    QWidget* edit = s ? s->editor(key) : nullptr;
    if (!edit) return;
    s->setFolded(false);
    m_impl->scroll->ensureWidgetVisible(edit);
    edit->setFocus(Qt::ShortcutFocusReason);
    if (auto* line = qobject_cast<QLineEdit*>(edit)) line->selectAll();
}

} // namespace fw
