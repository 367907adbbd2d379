// SPDX-License-Identifier: GPL-3.0-or-later
#include "skyline/skyline_view.h"

#include "delivery/support.h"
#include "text/figures.h"
#include "text/line_of_words.h"

#include <QEvent>
#include <QPainter>
#include <QPointer>

#include <algorithm>
#include <cmath>

namespace fw {

SkylineView::SkylineView(Workspace& space, QWidget* parent) : QWidget(parent), m_space(space) {
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    setAccessibleName(tr("Skyline of the chosen radio"));
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Expanding);
    space.live.computeAhead(this, [this](const auto& study) { return lookAhead(study); });
    connect(&space.live, &LiveStudy::shownChanged, this, &SkylineView::refresh);
    connect(&space.live, &LiveStudy::stateChanged, this, &SkylineView::refresh);
    connect(&space.selection, &Selection::changed, this, [this] {
        m_focusMark.reset();
        refresh();
    });
    connect(&space.aim, &LiveAim::changed, this, qOverload<>(&QWidget::update));
    connect(&space.document, &PlanDocument::planChanged, this, qOverload<>(&QWidget::update));
    connect(&space.drag, &LiveDrag::moved, this, qOverload<>(&QWidget::update));
    connect(&space.drag, &LiveDrag::ended, this, [this] {
        m_hold.reset();
        refresh();
    });
    refresh();
}

SkylineView::~SkylineView() {
    m_space.jobs.cancel(QStringLiteral("blocked bearings %1").arg(quintptr(this)));
}

// The scene of a frame of a drag: sight to other sites is the dear part.
std::function<void()> SkylineView::lookAhead(const std::shared_ptr<const Study>& study) {
    m_aheadOf.reset();
    const ItemId small = chainOf(m_space.document.plan(), m_space.selection.primary()).smallCell;
    if (!small || !isVisible()) return {};
    m_aheadOf = study;
    return [this, study, small] { m_aheadScene = sceneOf(*study, small, m_scene, true); };
}

// What is out of sight is looked at when it comes into view.
void SkylineView::refresh() {
    if (!isVisible()) {
        m_sceneStale = true;
        return;
    }
    m_sceneStale = false;
    const SkylineScene before = std::move(m_scene);
    m_scene = {};
    const auto& study = m_space.live.study();
    const Chain chain = chainOf(m_space.document.plan(), m_space.selection.primary());
    if (study && chain.smallCell)
        m_scene = study == m_aheadOf && m_aheadScene.small == chain.smallCell
                      ? std::move(m_aheadScene)
                      : sceneOf(*study, chain.smallCell, before, m_space.live.dragging());
    m_aheadOf.reset();
    const bool other = before.skyline != m_scene.skyline || before.small != m_scene.small;
    m_backStale = m_backStale || other || before.cost != m_scene.cost;
    if (other || before.things != m_scene.things || before.tiltsDeg != m_scene.tiltsDeg ||
        before.vBeamDeg != m_scene.vBeamDeg) {
        layOut();
    }
    if (!m_space.live.dragging()) {
        findBlocked();
        describeAloud();
    }
    update();
}

SkylineStyle SkylineView::style() const {
    SkylineStyle s;
    s.colors = windowPalette(palette());
    s.font = font();
    if (s.font.pointSizeF() > 0) s.font.setPointSizeF(s.font.pointSizeF() * 0.9);
    s.fontHeight = QFontMetrics(s.font).height();
    s.bandHeight = std::max(6, s.fontHeight / 2);
    return s;
}

void SkylineView::layOut() {
    const SkylineStyle s = style();
    const int caption = fontMetrics().height() + 6;
    const int side = QFontMetrics(s.font).horizontalAdvance(QStringLiteral("\u2212000")) + 8;
    m_scale.plot = QRectF(side, caption, std::max(80, width() - side - 6),
                          std::max(40, height() - caption - s.fontHeight - s.bandHeight - 8));
    const ElevationRange range = elevationRange(m_scene);
    m_scale.bottomDeg = range.bottomDeg;
    m_scale.topDeg = range.topDeg;
    m_marks = placeMarks(m_scale, m_scene, s);
    if (m_focusMark && *m_focusMark >= m_scene.things.size()) m_focusMark.reset();
    m_backStale = m_frontStale = true;
}

void SkylineView::findBlocked() {
    const auto& study = m_space.live.study();
    if (!m_scene.skyline || !study || m_space.live.stale()) return;
    if (study == m_askedStudy && m_askedRadio == m_scene.radio) return;
    auto result = std::make_shared<BlockedBearings>();
    const ItemId radio = m_scene.radio;
    m_space.jobs.start(
        QStringLiteral("blocked bearings %1").arg(quintptr(this)), tr("Looking for blocked bearings"),
        [result, study, radio](const Job& job) { *result = blockedBearings(*study, radio, job); },
        [self = QPointer<SkylineView>(this), result, study, radio, from = m_scene.skyline](Outcome outcome) {
            if (!self) return;
            if (outcome != Outcome::done) {
                if (self->m_askedStudy == study && self->m_askedRadio == radio) self->m_askedStudy.reset();
                return;
            }
            self->m_blocked = std::move(*result);
            self->m_blockedRadio = radio;
            self->m_blockedFrom = from;
            self->m_backStale = true;
            self->describeAloud();
            self->update();
        },
        JobBoard::Manner::quiet);
    m_askedStudy = study; // after the start: it may call an earlier one's end
    m_askedRadio = radio;
}

const BlockedBearings* SkylineView::blocked() const {
    const bool holds = m_scene.skyline && m_blockedRadio == m_scene.radio && m_blockedFrom == m_scene.skyline;
    return holds ? &m_blocked : nullptr;
}

std::optional<SkylineBeam> SkylineView::beam() const {
    if (!m_scene.skyline) return std::nullopt;
    const auto radio = m_space.drag.radio(m_scene.radio);
    if (!radio) return std::nullopt;
    return SkylineBeam{radio->azimuth, radio->tiltDeg, m_scene.hBeamDeg, m_scene.vBeamDeg};
}

QString SkylineView::emptyText() const {
    if (m_scene.skyline) return {};
    const Chain chain = chainOf(m_space.document.plan(), m_space.selection.primary());
    if (!chain.mount) return tr("Choose a small cell on the map or in a table to see what its radio sees.");
    if (!chain.radio) return tr("This mount carries no radio yet: give it one to see what it would see.");
    if (!chain.smallCell) return tr("This radio carries no small cell in this variant.");
    return tr("The view from here comes with the computation.");
}

void SkylineView::drawStill() {
    const double ratio = devicePixelRatioF();
    const SkylineStyle s = style();
    if (m_ratio != ratio) m_backStale = m_frontStale = true;
    m_ratio = ratio;
    const auto draw = [&](QPixmap& map, const QColor& ground, auto&& what) {
        const QSize size = (QSizeF(this->size()) * ratio).toSize();
        if (map.size() != size) map = QPixmap(size);
        map.setDevicePixelRatio(ratio);
        if (ground.isValid()) map.fill(ground);
        QPainter p(&map);
        what(p);
        p.end();
        map.setDevicePixelRatio(1);
    };
    if (m_backStale) {
        draw(m_back, s.colors.base,
             [&](QPainter& p) { drawBackdrop(p, QRectF(rect()), m_scale, m_scene, blocked(), s); });
        m_dim = m_back.copy();
        draw(m_dim, {}, [&](QPainter& p) { drawVeil(p, m_scale, s); });
        m_backStale = false;
    }
    if (m_frontStale) {
        draw(m_front, Qt::transparent, [&](QPainter& p) { drawMarks(p, m_marks, m_scene, s); });
        m_frontParts = {};
        for (const SkylineMark& m : m_marks)
            for (const QRectF& r : {m.sign, m.label})
                if (!r.isNull()) m_frontParts += r.adjusted(-3, -3, 3, 3).toAlignedRect();
        m_frontStale = false;
    }
}

// Whole device pixels are copied, and blended only where a mark stands: this is what a frame of a drag costs.
void SkylineView::drawMoving(QPainter& p, const SkylineStyle& style) {
    const auto copy = [&](const QPixmap& map, const QRectF& r) {
        const QRect from = QRectF(r.x() * m_ratio, r.y() * m_ratio, r.width() * m_ratio, r.height() * m_ratio)
                               .toAlignedRect()
                               .intersected(map.rect());
        p.drawPixmap(from.topLeft(), map, from);
    };
    const auto inPixels = [&](auto&& what) {
        p.save();
        p.scale(1 / m_ratio, 1 / m_ratio);
        what();
        p.restore();
    };
    const auto b = beam();
    inPixels([&] {
        p.drawPixmap(0, 0, m_dim);
        if (!b) return;
        for (const QRectF& w : windowsOf(*b, m_scale)) copy(m_back, w.intersected(m_scale.plot));
    });
    if (b) drawBeam(p, *b, m_scale, style, m_hold.has_value());
    inPixels([&] {
        for (const QRect& r : m_frontParts) copy(m_front, QRectF(r));
    });
}

void SkylineView::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const SkylineStyle s = style();
    if (!m_scene.skyline) {
        p.fillRect(rect(), s.colors.base);
        p.setPen(s.colors.inkSoft);
        p.drawText(rect().adjusted(16, 8, -16, -8), Qt::AlignCenter | Qt::TextWordWrap, emptyText());
    } else {
        drawStill();
        drawMoving(p, s);
        drawLobes(p, s.colors);
        drawCaption(p);
        if (hasFocus() && m_focusMark)
            for (const SkylineMark& m : m_marks)
                if (m.thing == *m_focusMark) {
                    p.setPen(QPen(s.colors.focus, 2));
                    p.drawRoundedRect(m.sign.adjusted(-4, -4, 4, 4), 3, 3);
                }
    }
    if (hasFocus()) {
        p.setPen(QPen(s.colors.focus, 2));
        p.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
    }
}

QString SkylineView::beamText() const {
    const auto b = beam();
    if (!b) return {};
    const QString name = QString::fromStdString(m_space.document.plan().label(m_scene.mount));
    const int decimals = std::fabs(b->azimuth.deg - std::round(b->azimuth.deg)) < 0.05 ? 0 : 1;
    const QString azimuth = bearing(b->azimuth.deg, decimals);
    const int tilts = std::fabs(b->tiltDeg - std::round(b->tiltDeg)) < 0.05 ? 0 : 1;
    const QString tilt = figure(std::fabs(b->tiltDeg), {}, tilts) + QChar(u'\u00b0');
    const QString size = tr("beam %1 by %2", "half-power widths, horizontal by vertical")
                             .arg(bearing(b->hBeamDeg), bearing(b->vBeamDeg));
    if (std::fabs(b->tiltDeg) < 0.05) return tr("%1: %2 true, level, %3").arg(name, azimuth, size);
    return (b->tiltDeg > 0 ? tr("%1: %2 true, %3 down, %4") : tr("%1: %2 true, %3 up, %4"))
        .arg(name, azimuth, tilt, size);
}

// The best lobes of the radio's aim, numbered as on the map.
void SkylineView::drawLobes(QPainter& p, const WindowPalette& colors) {
    const Aim* aim = m_space.aim.aim();
    if (!aim || aim->radio != m_scene.radio) return;
    const double r = fontMetrics().height() * 0.55;
    p.save();
    if (m_space.aim.stale()) p.setOpacity(0.35);
    for (std::size_t k = 0; k < std::min<std::size_t>(3, aim->lobes.size()); ++k)
        m_scale.everywhere(aim->lobes[k].azimuth.deg, 0, [&](double x) {
            const QPointF at(x, m_scale.plot.top() + r + 2);
            p.setPen(QPen(colors.ink, 1));
            p.setBrush(colors.base);
            p.drawEllipse(at, r, r);
            p.drawText(QRectF(at.x() - r, at.y() - r, 2 * r, 2 * r), Qt::AlignCenter, QString::number(k + 1));
        });
    p.restore();
}

void SkylineView::drawCaption(QPainter& p) {
    const WindowPalette& c = windowPalette(palette());
    const QRectF line(m_scale.plot.left(), 2, m_scale.plot.width(), fontMetrics().height() + 2);
    const auto& study = m_space.live.study();
    QString right;
    if (m_focusMark && hasFocus() && !m_pointer)
        right = markText(m_scene.things[*m_focusMark]);
    else if (m_pointer && !m_hold)
        right = textAt(*m_pointer);
    const bool asked = !right.isEmpty();
    if (!asked && study && study->smallCell(m_scene.small))
        right = tr("%1 of PRB cost in the beam and in sight")
                    .arg(figure(study->outlook(m_scene.small).costPoints, tr("points")));
    const QString left = beamText();
    // Either may take what the other leaves; how the radio looks goes before what nobody has asked for.
    const double most = line.width() * (asked ? 0.5 : 0.75) - 8;
    const double leftWide = widthOfWords(font(), left), rightWide = widthOfWords(font(), right);
    const double leftRoom = std::max(most, line.width() - 16 - rightWide);
    const double room = std::max(line.width() - 16 - most, line.width() - 16 - std::min(leftWide, leftRoom));
    const double beyond = line.width() - leftRoom, before = line.width() - room;
    const bool rtl = isRightToLeft();
    p.setPen(c.ink);
    drawWords(p, rtl ? line.adjusted(beyond, 0, 0, 0) : line.adjusted(0, 0, -beyond, 0),
              Qt::AlignLeft | Qt::AlignVCenter, left); // sides as people read
    p.setPen(c.inkSoft);
    drawWords(p, rtl ? line.adjusted(0, 0, -before, 0) : line.adjusted(before, 0, 0, 0),
              Qt::AlignRight | Qt::AlignVCenter, right);
}

QString SkylineView::nameOf(ItemId solid) const {
    if (!solid) return tr("ground");
    const Plan& plan = m_space.document.plan();
    if (solid == m_scene.ownBuilding) return tr("own building");
    if (const auto s = solidOf(plan, solid)) return QString::fromStdString(describe(*s));
    return QString::fromStdString(plan.label(solid));
}

QString SkylineView::markText(const SkylineThing& t) const {
    const QString name = QString::fromStdString(t.name);
    const QString elevation = signedFigure(t.elevationDeg, {}, 1) + QChar(u'\u00b0');
    const QString kind = t.what == SkylineThing::What::macro ? tr("macro site %1").arg(name)
                                                             : tr("small cell on %1").arg(name);
    return (t.inSight ? tr("%1 at %2, %3, %4 away, in sight") : tr("%1 at %2, %3, %4 away, hidden"))
        .arg(kind, bearing(t.azimuthTrueDeg), elevation, distance(t.distanceM));
}

QString SkylineView::textAt(QPointF place) const {
    if (!m_scene.skyline || !m_scale.plot.adjusted(0, 0, 0, style().bandHeight + 1).contains(place))
        return {};
    if (const SkylineMark* m = markAt(place)) return markText(m_scene.things[m->thing]);
    const TrueAzimuth azimuth = m_scale.azimuthAt(place.x());
    if (place.y() > m_scale.plot.bottom()) {
        const GridAzimuth grid = GridAzimuth::of(azimuth.deg - m_scene.convergenceDeg);
        return tr("%1: %2 of PRB cost in sight within %3")
            .arg(bearing(azimuth.deg), figure(m_scene.cost ? m_scene.cost->at(grid) : 0, tr("points"), 2),
                 bearing(CostByBearing::kBinDeg));
    }
    const double elevation = m_scale.elevationAt(place.y());
    const Skyline::Bearing& b = m_scene.towards(azimuth.deg);
    const auto degrees = [](double e) { return signedFigure(e, {}, 0) + QChar(u'\u00b0'); };
    const QString where = tr("%1, elevation %2").arg(bearing(azimuth.deg), degrees(elevation));
    const QString what = nameOf(b.cause), away = distance(static_cast<double>(b.distanceM));
    QString text = elevation <= static_cast<double>(b.elevationDeg)
                       ? tr("%1: %2, %3 away").arg(where, what, away)
                       : tr("%1: sky; %2 reaches %3, %4 away")
                             .arg(where, what, degrees(static_cast<double>(b.elevationDeg)), away);
    if (const BlockedBearings* no = blocked())
        if (const auto& why = no->at(azimuth)) text = tr("%1. Blocked: %2").arg(text, coreText(why->text));
    return text;
}

// For those who hear the window rather than see it: the figures of the picture.
void SkylineView::describeAloud() {
    if (!m_scene.skyline) {
        setAccessibleDescription(emptyText());
        return;
    }
    QStringList lines{beamText()};
    if (m_scene.cost)
        lines << tr("PRB cost in sight all round: %1").arg(figure(m_scene.cost->total(), tr("points")));
    for (const SkylineThing& t : m_scene.things) lines << markText(t);
    if (const BlockedBearings* no = blocked()) {
        const auto count =
            std::count_if(no->why.begin(), no->why.end(), [](const auto& w) { return w.has_value(); });
        lines << (count ? tr("%1 of all bearings are blocked")
                              .arg(percent(static_cast<double>(count) / BlockedBearings::kBins))
                        : tr("No bearing is blocked"));
    }
    setAccessibleDescription(lines.join(QStringLiteral(". ")));
}

QSize SkylineView::sizeHint() const {
    const int line = fontMetrics().height();
    return {line * 56, line * 13};
}
QSize SkylineView::minimumSizeHint() const {
    const int line = fontMetrics().height();
    return {line * 20, line * 7};
}

void SkylineView::resizeEvent(QResizeEvent*) { layOut(); }

void SkylineView::showEvent(QShowEvent* e) {
    QWidget::showEvent(e);
    if (m_sceneStale) refresh();
}

void SkylineView::changeEvent(QEvent* e) {
    if (e->type() == QEvent::PaletteChange || e->type() == QEvent::FontChange ||
        e->type() == QEvent::LanguageChange || e->type() == QEvent::StyleChange)
        layOut();
    QWidget::changeEvent(e);
}

} // namespace fw
