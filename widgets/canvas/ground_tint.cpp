// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/ground_tint.h"

#include "text/figures.h"

#include <QLocale>
#include <QPointer>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

const QString kJob = QStringLiteral("ground-tint");

int figuresFor(double value) { return value >= 10 ? 0 : value >= 1 ? 1 : 2; }

} // namespace

QString tintName(GroundTint tint) {
    switch (tint) {
    case GroundTint::prbCost:
        return GroundTintSource::tr("PRB cost");
    case GroundTint::rsrp:
        return GroundTintSource::tr("RSRP");
    case GroundTint::bestServer:
        return GroundTintSource::tr("Best server");
    case GroundTint::demandFringe:
        return GroundTintSource::tr("Demand and fringes");
    case GroundTint::none:
    case GroundTint::count:
        break;
    }
    return GroundTintSource::tr("Plain ground");
}

QString tintUnit(GroundTint tint) {
    switch (tint) {
    case GroundTint::prbCost:
        return GroundTintSource::tr("points/ha");
    case GroundTint::rsrp:
        return QStringLiteral("dBm");
    case GroundTint::demandFringe:
        return GroundTintSource::tr("m² floor per m²");
    case GroundTint::none:
    case GroundTint::bestServer:
    case GroundTint::count:
        break;
    }
    return {};
}

QString tintFigure(GroundTint tint, double value) {
    return figure(value, tintUnit(tint), tint == GroundTint::rsrp ? 1 : figuresFor(value));
}

GroundTintSource::GroundTintSource(Workspace& space, QObject* parent) : QObject(parent), m_space(space) {
    connect(&space.live, &LiveStudy::shownChanged, this, &GroundTintSource::look);
    connect(&space.shown, &Shown::changed, this, &GroundTintSource::look);
    look();
}

GroundTintSource::~GroundTintSource() { m_space.jobs.cancel(kJob); }

void GroundTintSource::take(std::shared_ptr<const TintPicture> picture) {
    if (!picture && !m_picture) return;
    m_picture = std::move(picture);
    emit changed();
}

void GroundTintSource::look() {
    const auto study = m_space.live.study();
    const GroundTint tint = m_space.shown.tint();
    if (!study || tint == GroundTint::none) {
        m_wanted.reset();
        m_space.jobs.cancel(kJob);
        take(nullptr);
        return;
    }
    if (m_space.live.dragging()) return; // a drag moves no macro
    const int layers = static_cast<int>(study->layers().size());
    const int carrier = m_space.shown.carrier() < layers ? m_space.shown.carrier() : -1;
    const Wanted wanted{groundDigest(*study), tint, carrier};
    if (m_wanted == wanted) return;
    m_wanted = wanted;
    auto made = std::make_shared<std::shared_ptr<const TintPicture>>();
    m_space.jobs.start(
        kJob, tr("Colouring the ground"),
        [made, study, tint, carrier](const Job& job) { *made = makeTintPicture(study, tint, carrier, job); },
        [this, made, wanted, self = QPointer<GroundTintSource>(this)](Outcome outcome) {
            if (!self || m_wanted != wanted) return;
            if (outcome == Outcome::done)
                take(*made);
            else
                m_wanted.reset(); // asked for again by the next look
        },
        JobBoard::Manner::quiet);
}

QString GroundTintSource::label(ItemId id) const {
    const Plan& now = m_space.document.plan(); // a new name is no new picture
    return QString::fromStdString(now.has(id) ? now.label(id) : m_picture->study->plan().label(id));
}

std::optional<QString> GroundTintSource::valueAt(PlanePoint at) const {
    if (!m_picture) return std::nullopt;
    const TintPicture& p = *m_picture;
    if (p.tint == GroundTint::rsrp || p.tint == GroundTint::bestServer) {
        const auto served = p.carrier < 0 ? p.study->macroAt(at) : p.study->macroAt(p.carrier, at);
        if (!served) return std::nullopt;
        const QString level = tintFigure(GroundTint::rsrp, served->levelDbm), cell = label(served->cell);
        //: %1 is a level with its unit, %2 the name of a cell
        return p.tint == GroundTint::rsrp ? tr("%1 from %2").arg(level, cell)
                                          //: %1 is the name of a cell, %2 a level with its unit
                                          : tr("%1, %2", "cell, level").arg(cell, level);
    }
    const TileKey key = tileOf(at);
    const int x = key.x - p.tileX0, y = key.y - p.tileY0;
    if (x < 0 || y < 0 || x >= p.tilesW || y >= p.tilesH) return std::nullopt;
    const auto column = static_cast<std::size_t>((at.x - key.x * kTileM) / kRasterPixelM),
               row = static_cast<std::size_t>((at.y - key.y * kTileM) / kRasterPixelM);
    const std::size_t last = kRasterPixels - 1;
    const std::size_t pixel = std::min(row, last) * kRasterPixels + std::min(column, last);
    const auto tile = static_cast<std::size_t>(y * p.tilesW + x);
    const QString text = p.tint == GroundTint::prbCost ? costText(tile, pixel) : demandText(at, tile, pixel);
    return text.isEmpty() ? std::nullopt : std::optional(text);
}

QString GroundTintSource::costText(std::size_t tile, std::size_t pixel) const {
    const CostRaster& r = m_picture->costs[tile];
    if (r.pointsPerHa[pixel] <= 0 || r.cell[pixel] == kNoCell) return {};
    const auto cells = m_picture->study->macroCells();
    const QString cost = tintFigure(GroundTint::prbCost, r.pointsPerHa[pixel]),
                  cell = label(cells[r.cell[pixel]].id);
    const std::size_t block = pixel / kRasterPixels / 8 * kRasterBlocks + pixel % kRasterPixels / 8;
    if (r.fringe[block] != kNoCell)
        //: %1 is an amount with its unit, %2 and %3 names of cells
        return tr("%1, most of it %2; in the fringe of %3").arg(cost, cell, label(cells[r.fringe[block]].id));
    //: %1 is an amount with its unit, %2 the name of a cell
    return m_picture->carrier >= 0 ? tr("%1 of %2").arg(cost, cell) : tr("%1, most of it %2").arg(cost, cell);
}

QString GroundTintSource::demandText(PlanePoint at, std::size_t tile, std::size_t pixel) const {
    const CostRaster& r = m_picture->costs[tile];
    QStringList cells;
    for (const TintPicture::Fringe& f : m_picture->fringes)
        if (f.bounds.contains(at) &&
            std::any_of(f.areas.begin(), f.areas.end(), [&](const Polygon& a) { return contains(a, at); }))
            cells << label(f.cell);
    const bool any = r.demand[pixel] > 0;
    const QString demand = tintFigure(GroundTint::demandFringe, r.demand[pixel]);
    const QString names = QLocale().createSeparatedList(cells);
    if (cells.isEmpty()) return any ? demand : QString();
    //: %1 is a list of cells
    if (!any) return tr("Fringe of %1").arg(names);
    //: %1 is an amount with its unit, %2 a list of cells
    return tr("%1; fringe of %2").arg(demand, names);
}

} // namespace fw
