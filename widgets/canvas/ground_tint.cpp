// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/ground_tint.h"

#include "study/change_rasters.h"
#include "text/figures.h"

#include <QLocale>
#include <QPointer>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

const QString kTintJob = QStringLiteral("ground-tint");

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
    case GroundTint::sinr:
        return GroundTintSource::tr("SINR");
    case GroundTint::rate:
        return GroundTintSource::tr("Throughput of one more user");
    case GroundTint::indoor:
        return GroundTintSource::tr("Indoor coverage");
    case GroundTint::none:
    case GroundTint::count:
        break;
    }
    return GroundTintSource::tr("Plain ground");
}

QString tintUnit(GroundTint tint, TintMoment moment) {
    switch (tint) {
    case GroundTint::prbCost:
        return GroundTintSource::tr("points/ha");
    case GroundTint::rsrp:
        return moment == TintMoment::change ? QStringLiteral("dB") : QStringLiteral("dBm");
    case GroundTint::demandFringe:
        return GroundTintSource::tr("m² floor per m²");
    case GroundTint::sinr:
        return QStringLiteral("dB");
    case GroundTint::rate:
        return QStringLiteral("Mbit/s");
    case GroundTint::indoor:
        return GroundTintSource::tr("% of samples");
    case GroundTint::none:
    case GroundTint::bestServer:
    case GroundTint::count:
        break;
    }
    return {};
}

QString momentName(TintMoment moment) {
    return moment == TintMoment::before  ? GroundTintSource::tr("Before")
           : moment == TintMoment::after ? GroundTintSource::tr("After")
                                         : GroundTintSource::tr("Change");
}

QString storeyName(Storey storey) {
    switch (storey) {
    case Storey::lowest:
        return GroundTintSource::tr("Lowest storey");
    case Storey::middle:
        return GroundTintSource::tr("Middle storey");
    case Storey::top:
        return GroundTintSource::tr("Top storey");
    case Storey::all:
        break;
    }
    return GroundTintSource::tr("All storeys");
}

QString tintFigure(GroundTint tint, double value) {
    const bool decibels = tint == GroundTint::rsrp || tint == GroundTint::sinr;
    const int decimals = decibels ? 1 : tint == GroundTint::indoor ? 0 : figuresFor(value);
    return figure(value, tintUnit(tint), decimals);
}

QString tintChangeFigure(GroundTint tint, double change) {
    const bool decibels = tint == GroundTint::rsrp || tint == GroundTint::sinr;
    const int decimals = decibels ? 1 : tint == GroundTint::indoor ? 0 : figuresFor(std::abs(change));
    return signedFigure(change, tintUnit(tint, TintMoment::change), decimals);
}

GroundTintSource::GroundTintSource(Workspace& space, QObject* parent) : QObject(parent), m_space(space) {
    connect(&space.live, &LiveStudy::shownChanged, this, &GroundTintSource::look);
    connect(&space.shown, &Shown::changed, this, &GroundTintSource::look);
    look();
}

GroundTintSource::~GroundTintSource() { m_space.jobs.cancel(kTintJob); }

void GroundTintSource::take(std::shared_ptr<const TintPicture> picture,
                            std::shared_ptr<const TintPicture> left) {
    if (!picture && !m_picture && !left && !m_left) return;
    m_picture = std::move(picture);
    m_left = std::move(left);
    emit changed();
}

void GroundTintSource::setBehind(bool behind) {
    if (m_behind == behind) return;
    m_behind = behind;
    emit behindChanged();
}

void GroundTintSource::look() {
    const auto study = m_space.live.study();
    const Shown& shown = m_space.shown;
    const GroundTint tint = shown.tint();
    if (!study || tint == GroundTint::none) {
        m_wanted.reset();
        m_space.jobs.cancel(kTintJob);
        setBehind(false);
        take(nullptr, nullptr);
        return;
    }
    const bool pair = shown.swipe() && hasMoments(tint);
    const int layers = static_cast<int>(study->layers().size());
    TintRequest q;
    q.tint = tint;
    q.carrier = shown.carrier() < layers ? shown.carrier() : -1;
    if (hasMoments(tint)) q.moment = pair ? TintMoment::after : shown.moment();
    if (tint == GroundTint::indoor) {
        q.storey = shown.storey();
        if (const auto from = shown.indoorFromDbm()) q.indoorFromDbm = *from;
    }
    const bool dragging = m_space.live.dragging();
    setBehind(dragging && m_picture && m_picture->moment != TintMoment::before);
    if (dragging) return; // macros do not move in a drag, and small cells are drawn when the button is up
    // Rates rest on loads that cost nothing, too.
    const bool small = pair || q.moment != TintMoment::before || tint == GroundTint::rate;
    const Wanted wanted{small ? changeDigest(*study) : groundDigest(*study), q, pair};
    if (m_wanted == wanted) return;
    m_wanted = wanted;
    if (!pair && m_left) take(m_picture, nullptr); // the divider goes at once
    auto made = std::make_shared<TintPair>();
    m_space.jobs.start(
        kTintJob, tr("Colouring the ground"),
        [made, study, q, pair](const Job& job) {
            if (pair)
                *made = makeTintPair(study, q, job);
            else
                made->after = makeTintPicture(study, q, job);
        },
        [this, made, wanted, self = QPointer<GroundTintSource>(this)](Outcome outcome) {
            if (!self || m_wanted != wanted) return;
            if (outcome == Outcome::done)
                take(made->after, made->before);
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
    const TintPicture& p = m_left && at.x < m_dividerM ? *m_left : *m_picture;
    if (!p.values && (p.tint == GroundTint::rsrp || p.tint == GroundTint::bestServer)) {
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
    const QString text = p.values && p.tint == GroundTint::bestServer ? serverText(p, at, tile, pixel)
                         : p.values && p.values->indoor               ? indoorText(p, tile, pixel)
                         : p.values                                   ? momentText(p, tile, pixel)
                         : p.tint == GroundTint::prbCost              ? costText(tile, pixel)
                                                                      : demandText(at, tile, pixel);
    return text.isEmpty() ? std::nullopt : std::optional(text);
}

QString GroundTintSource::momentText(const TintPicture& p, std::size_t tile, std::size_t pixel) const {
    const float was = p.values->before[tile][pixel], is = p.values->after[tile][pixel];
    const QString name = p.tint == GroundTint::rate ? tr("Throughput") : tintName(p.tint);
    if (p.moment == TintMoment::before)
        //: %1 a quantity, %2 its value with its unit
        return std::isnan(was) ? QString() : tr("%1 %2, before").arg(name, tintFigure(p.tint, was));
    if (std::isnan(is)) return {};
    //: %1 a quantity, %2 its value with its unit
    const QString after = tr("%1 %2, after").arg(name, tintFigure(p.tint, is));
    //: %1 says what is after; nothing was before
    if (std::isnan(was)) return tr("%1; nothing before").arg(after);
    const QString change = tintChangeFigure(p.tint, static_cast<double>(is) - static_cast<double>(was));
    if (p.moment == TintMoment::after)
        //: %1 what is after, %2 a change with its sign and unit
        return tr("%1; %2", "after, change").arg(after, change);
    //: %1 a quantity, %2 its change with sign and unit, %3 and %4 amounts with their unit
    return tr("%1 %2: %3 before, %4 after")
        .arg(name, change, tintFigure(p.tint, was), tintFigure(p.tint, is));
}

QString GroundTintSource::serverText(const TintPicture& p, PlanePoint at, std::size_t tile,
                                     std::size_t pixel) const {
    const std::uint32_t was = p.values->serverBefore[tile][pixel], is = p.values->serverAfter[tile][pixel];
    const auto name = [&](std::uint32_t s) {
        return label(s < kSmallServer ? p.study->macroCells()[s].id : p.study->smallCells()[s & 0xffff].id);
    };
    const auto level = [&](std::uint32_t s) {
        const auto dbm = s < kSmallServer ? p.study->macroCellAt(p.study->macroCells()[s].id, at)
                                          : p.study->smallAt(p.study->smallCells()[s & 0xffff].id, at);
        return tintFigure(GroundTint::rsrp, dbm.value_or(0));
    };
    const bool before = p.moment == TintMoment::before;
    if (before && was == kNoServer) return {};
    if (!before && is == kNoServer) return {};
    //: %1 is the name of a cell, %2 a level with its unit
    if (before) return tr("%1, %2, before").arg(name(was), level(was));
    //: %1 is the name of a cell, %2 a level with its unit
    QString after = tr("%1, %2, after").arg(name(is), level(is));
    if (is == was || was == kNoServer) return after;
    //: %1 says who serves now, %2 is the name of the cell that served before
    return tr("%1; before %2").arg(after, name(was));
}

QString GroundTintSource::indoorText(const TintPicture& p, std::size_t tile, std::size_t pixel) const {
    const std::uint32_t at = p.values->indoor->tiles[tile].building[pixel];
    if (at == kNoBuilding) return {};
    const BuildingCoverage& b = p.values->indoor->buildings[at];
    if (!b.samples) return {};
    const QString storey = storeyName(p.storey);
    if (p.moment == TintMoment::before)
        //: %1 "Top storey", %2 and %3 numbers
        return tr("%1: %2 of %3 samples, before").arg(storey).arg(b.before).arg(b.samples);
    //: %1 "Top storey", %2 and %3 numbers, %4 a change with its sign
    return tr("%1: %2 of %3 samples, after; %4")
        .arg(storey)
        .arg(b.after)
        .arg(b.samples)
        .arg(signedFigure(b.after - b.before, {}, 0));
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
