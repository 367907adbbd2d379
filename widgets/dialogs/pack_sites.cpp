// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/pack_sites.h"

#include "text/figures.h"
#include "theme/window_palette.h"

#include <QEvent>
#include <QHeaderView>
#include <QPainter>

#include <algorithm>
#include <map>

namespace fw {

namespace {

constexpr int kMountRole = Qt::UserRole, kSeverityRole = Qt::UserRole + 1, kCountRole = Qt::UserRole + 2;

ItemId mountOf(const QTreeWidgetItem* item) { return {item->data(0, kMountRole).toUInt()}; }

// block: filled square, warn: half-filled, note: hollow.
QPixmap severitySign(Severity severity, int side, double dots, const QColor& ink) {
    QPixmap pixmap(QSize(side, side) * dots);
    pixmap.setDevicePixelRatio(dots);
    pixmap.fill(Qt::transparent);
    QPainter p(&pixmap);
    p.setRenderHint(QPainter::Antialiasing);
    const double in = side * 0.16;
    const QRectF box(in, in, side - 2 * in, side - 2 * in);
    if (severity == Severity::block) p.fillRect(box, ink);
    if (severity == Severity::warn)
        p.fillRect(QRectF(box.left(), box.center().y(), box.width(), box.height() / 2), ink);
    p.setPen(QPen(ink, std::max(1.0, side * 0.09)));
    p.drawRect(box);
    return pixmap;
}

QString word(std::optional<Severity> worst) {
    if (!worst) return PackSites::tr("none");
    if (*worst == Severity::block) return PackSites::tr("block");
    return *worst == Severity::warn ? PackSites::tr("warn") : PackSites::tr("note");
}

struct Open {
    std::optional<Severity> worst;
    int count = 0;
};

// Open findings of each site: about its mount, or a radio or small cell that is part of the pack.
std::map<ItemId, Open> openBySite(const Plan& plan, const Review& review) {
    std::map<ItemId, ItemId> site;
    for (const SmallCell& s : plan.smallCells) {
        if (!s.chosen || s.variant != plan.settings->activeVariant) continue;
        if (const Radio* r = plan.radios.find(s.radio)) site[s.id] = site[r->id] = site[r->mount] = r->mount;
    }
    std::map<ItemId, Open> out;
    for (const Finding& f : review.findings) {
        if (f.standing == Standing::stands || f.standing == Standing::stale || f.subjects.empty()) continue;
        const auto at = site.find(f.subjects.front());
        if (at == site.end()) continue;
        Open& open = out[at->second];
        open.worst = open.worst ? std::max(*open.worst, f.severity) : f.severity;
        ++open.count;
    }
    return out;
}

} // namespace

std::vector<ItemId> packSites(const Plan& plan) {
    std::set<ItemId> out;
    for (const SmallCell& s : plan.smallCells)
        if (s.chosen && s.variant == plan.settings->activeVariant)
            if (const Radio* r = plan.radios.find(s.radio); r && plan.mounts.find(r->mount))
                out.insert(r->mount);
    return {out.begin(), out.end()};
}

PackSites::PackSites(QWidget* parent) : QTreeWidget(parent) {
    setColumnCount(2);
    setHeaderLabels({tr("Site"), tr("Open findings")});
    setRootIsDecorated(false);
    setUniformRowHeights(true);
    setAccessibleName(tr("Sites of the pack"));
    setTextElideMode(Qt::ElideRight);
    setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    header()->setStretchLastSection(false);
    header()->setSectionResizeMode(0, QHeaderView::Stretch);
    header()->setSectionResizeMode(1, QHeaderView::ResizeToContents);
    header()->setSectionsClickable(false);
    connect(this, &QTreeWidget::itemChanged, this, [this](QTreeWidgetItem* item, int column) {
        if (column == 0) takeTick(item);
    });
}

void PackSites::takeTick(QTreeWidgetItem* item) {
    if (m_filling) return;
    const bool left = item->checkState(0) != Qt::Checked;
    const ItemId mount = mountOf(item);
    if (left == (m_left.count(mount) > 0)) return;
    if (left)
        m_left.insert(mount);
    else
        m_left.erase(mount);
    emit ticksChanged();
}

void PackSites::dress(QTreeWidgetItem* item, std::optional<Severity> worst, int open) {
    item->setText(1, open < 0 ? unknownFigure() : word(worst));
    item->setData(1, kSeverityRole, worst ? static_cast<int>(*worst) : -1);
    item->setData(1, kCountRole, open);
    item->setToolTip(1, open < 0    ? tr("Not computed yet")
                        : open == 0 ? tr("No open finding")
                        : open == 1 ? tr("1 open finding: %1").arg(word(worst))
                                    : tr("%n open findings, the worst: %1", "", open).arg(word(worst)));
    const WindowPalette& c = windowPalette(palette());
    item->setForeground(1, worst ? c.ink : c.inkSoft);
    const int side = fontMetrics().height() * 3 / 4;
    item->setIcon(1, worst ? QIcon(severitySign(*worst, side, devicePixelRatioF(), c.ink)) : QIcon());
}

void PackSites::show(const Plan& plan, const Review* review) {
    m_filling = true;
    const int side = fontMetrics().height() * 3 / 4;
    setIconSize({side, side});
    const std::vector<ItemId> sites = packSites(plan);
    const auto open = review ? openBySite(plan, *review) : std::map<ItemId, Open>{};
    // Rows that stay keep their place, so that focus and scroll stay too.
    bool same = static_cast<int>(sites.size()) == topLevelItemCount();
    for (int k = 0; same && k < topLevelItemCount(); ++k)
        same = mountOf(topLevelItem(k)) == sites[static_cast<std::size_t>(k)];
    if (!same) {
        clear();
        for (const ItemId site : sites) {
            auto* item = new QTreeWidgetItem(this);
            item->setData(0, kMountRole, site.v);
            item->setFlags(Qt::ItemIsEnabled | Qt::ItemIsSelectable | Qt::ItemIsUserCheckable);
        }
    }
    for (int k = 0; k < topLevelItemCount(); ++k) {
        QTreeWidgetItem* item = topLevelItem(k);
        const ItemId site = mountOf(item);
        const QString name = QString::fromStdString(plan.label(site));
        item->setText(0, name);
        item->setToolTip(0, name);
        const auto found = open.find(site);
        if (found == open.end())
            dress(item, std::nullopt, review ? 0 : -1);
        else
            dress(item, found->second.worst, found->second.count);
    }
    putTicks();
    m_filling = false;
}

void PackSites::putTicks() {
    for (int k = 0; k < topLevelItemCount(); ++k) {
        QTreeWidgetItem* item = topLevelItem(k);
        item->setCheckState(0, m_left.count(mountOf(item)) ? Qt::Unchecked : Qt::Checked);
    }
}

std::vector<ItemId> PackSites::ticked() const {
    std::vector<ItemId> out;
    for (int k = 0; k < topLevelItemCount(); ++k)
        if (!m_left.count(mountOf(topLevelItem(k)))) out.push_back(mountOf(topLevelItem(k)));
    return out;
}

void PackSites::tickOnly(const std::vector<ItemId>& sites) {
    m_left.clear();
    for (int k = 0; k < topLevelItemCount(); ++k) {
        const ItemId site = mountOf(topLevelItem(k));
        if (std::find(sites.begin(), sites.end(), site) == sites.end()) m_left.insert(site);
    }
    m_filling = true;
    putTicks();
    m_filling = false;
    emit ticksChanged();
}

void PackSites::tickAll(bool on) {
    std::vector<ItemId> sites;
    for (int k = 0; on && k < topLevelItemCount(); ++k) sites.push_back(mountOf(topLevelItem(k)));
    tickOnly(sites);
}

void PackSites::changeEvent(QEvent* event) {
    QTreeWidget::changeEvent(event);
    if (event->type() != QEvent::PaletteChange && event->type() != QEvent::FontChange) return;
    m_filling = true;
    for (int k = 0; k < topLevelItemCount(); ++k) {
        QTreeWidgetItem* item = topLevelItem(k);
        const int worst = item->data(1, kSeverityRole).toInt();
        dress(item, worst < 0 ? std::nullopt : std::optional(static_cast<Severity>(worst)),
              item->data(1, kCountRole).toInt());
    }
    m_filling = false;
}

} // namespace fw
