// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tools/wall_finder.h"

#include "canvas/map_view.h"

#include <QPointer>

namespace fw {

namespace {

// About 20 ms; more would be felt at the first touch.
constexpr std::size_t kAtOnce = 50000;

} // namespace

WallFinder::WallFinder(MapView& map) : QObject(&map), m_space(map.space()) {}

WallFinder& WallFinder::of(MapView& map) {
    if (auto* there = map.findChild<WallFinder*>(QString(), Qt::FindDirectChildrenOnly)) return *there;
    return *new WallFinder(map);
}

const WallIndex* WallFinder::walls() {
    const Scenery& scenery = m_space.document.plan().scenery;
    if (m_walls && m_walls->isOf(scenery)) return m_walls.get();
    if (scenery.buildingCount() <= kAtOnce) {
        m_walls = std::make_shared<const WallIndex>(scenery);
        return m_walls.get();
    }
    if (m_making) return nullptr;
    m_making = true;
    auto made = std::make_shared<std::shared_ptr<const WallIndex>>();
    m_space.jobs.start(
        QStringLiteral("walls"), tr("Finding walls"),
        [scenery, made](const Job&) { *made = std::make_shared<const WallIndex>(scenery); },
        [guard = QPointer<WallFinder>(this), made](Outcome outcome) {
            if (!guard) return;
            guard->m_making = false;
            if (outcome == Outcome::done) guard->m_walls = *made;
        },
        JobBoard::Manner::quiet);
    return nullptr;
}

} // namespace fw
