// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/aim_rose.h"

#include "text/figures.h"

#include <QPainterPath>
#include <QPointer>

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {

namespace {

const QString kJob = QStringLiteral("aim-rose");
constexpr int kSoonMs = 120; // a key held down asks once
constexpr double kStepDeg = 360.0 / kAimBearings, kGapDeg = 1.6;
constexpr double kStaleOpacity = 0.35;

// The bar nearest to an azimuth.
int barAt(TrueAzimuth azimuth) {
    return static_cast<int>(std::lround(wrap360(azimuth.deg) / kStepDeg)) % kAimBearings;
}

// A part of a ring on the screen: degrees clockwise from up.
QPainterPath wedge(QPointF c, double from, double to, double inner, double outer) {
    QPainterPath path;
    const QRectF in(c.x() - inner, c.y() - inner, 2 * inner, 2 * inner),
        out(c.x() - outer, c.y() - outer, 2 * outer, 2 * outer);
    path.arcMoveTo(out, 90 - from);
    path.arcTo(out, 90 - from, from - to);
    path.arcTo(in, 90 - to, to - from);
    path.closeSubpath();
    return path;
}

// Slanting lines over a part of the ring.
void hatch(QPainter& painter, QPointF c, const QPainterPath& where, const WindowPalette& colors) {
    constexpr double every = 6, r = AimRose::kOuterPx;
    painter.save();
    painter.setClipPath(where, Qt::IntersectClip);
    painter.setPen(QPen(colors.ink, 1.3));
    for (double x = -2 * r; x < 2 * r; x += every)
        painter.drawLine(c + QPointF(x, r), c + QPointF(x + 2 * r, -r));
    painter.restore();
    painter.setPen(QPen(colors.ink, 1));
    painter.setBrush(Qt::NoBrush);
    painter.drawPath(where);
}

bool blocks(const Finding& f) {
    return f.severity == Severity::block &&
           (f.standing == Standing::open || f.standing == Standing::nowWorse);
}

// A bearing is blocked by what does not block at all others too.
void markBlocked(std::vector<AimBearing>& bearings, const std::vector<std::vector<Finding>>& blocking) {
    std::map<std::pair<std::string, std::vector<ItemId>>, std::size_t> count;
    for (const auto& list : blocking)
        for (const Finding& f : list) ++count[{f.rule, f.subjects}];
    for (std::size_t k = 0; k < bearings.size(); ++k)
        for (const Finding& f : blocking[k]) {
            if (count[{f.rule, f.subjects}] == bearings.size()) continue;
            bearings[k].blocked = true;
            bearings[k].why = f.text;
            break;
        }
}

} // namespace

std::vector<AimBearing> aimBearings(const Study& study, const Review& review, ItemId small, const Job& job) {
    const SmallCellPart* part = study.smallCell(small);
    const Radio* radio = part ? study.plan().radios.find(part->radio) : nullptr;
    if (!radio) return {};
    ReviewOptions options;
    options.remedies = false;
    options.only = radio->id;
    std::vector<AimBearing> out;
    std::vector<std::vector<Finding>> blocking;
    for (int k = 0; k < kAimBearings; ++k) {
        job.report(static_cast<double>(k) / kAimBearings, {});
        if (job.stopped()) return {};
        Hypothesis h;
        h.radio = *radio;
        h.radio->azimuth = TrueAzimuth::of(k * kStepDeg);
        const auto over = study.overlay(h);
        Review turned = reviewAfter(*over, review, study, options, job);
        std::erase_if(turned.findings, [](const Finding& f) { return !blocks(f); });
        blocking.push_back(std::move(turned.findings));
        out.push_back({h.radio->azimuth, fitOf(*over, small).value, false, {}});
    }
    if (job.stopped()) return {};
    markBlocked(out, blocking);
    return out;
}

AimRose::AimRose(Workspace& space, QObject* parent) : QObject(parent), m_space(space) {
    m_soon.setSingleShot(true);
    m_soon.setInterval(kSoonMs);
    connect(&m_soon, &QTimer::timeout, this, &AimRose::compute);
    connect(&space.live, &LiveStudy::shownChanged, this, &AimRose::look);
    connect(&space.live, &LiveStudy::stateChanged, this, &AimRose::look);
    connect(&space.selection, &Selection::changed, this, &AimRose::look);
    connect(&space.shown, &Shown::changed, this, &AimRose::look);
    look();
}

AimRose::~AimRose() { m_space.jobs.cancel(kJob); }

bool AimRose::stale() const {
    return m_space.live.dragging() || m_space.live.stale() || m_study != m_space.live.study();
}

void AimRose::look() {
    const Chain chain = chainOf(m_space.document.plan(), m_space.selection.primary());
    const auto& study = m_space.live.study();
    const bool wanted = study && chain.smallCell && m_space.shown.on(MapLayer::aimRose);
    if (!wanted || (m_small && m_small != chain.smallCell)) {
        const bool had = !m_bearings.empty();
        m_bearings.clear();
        m_drawn = {};
        m_study.reset();
        m_small = m_radio = {};
        if (had) emit changed();
    }
    if (!wanted) {
        m_soon.stop();
        m_asked.reset();
        m_space.jobs.cancel(kJob);
        return;
    }
    if (m_space.live.dragging() || m_space.live.stale()) return;
    const bool known = m_study == study && m_small == chain.smallCell;
    const bool coming = m_asked == study && m_askedSmall == chain.smallCell;
    if (!known && !coming) m_soon.start();
}

void AimRose::compute() {
    const Chain chain = chainOf(m_space.document.plan(), m_space.selection.primary());
    const auto study = m_space.live.study();
    if (!study || !chain.smallCell || m_space.live.dragging() || m_space.live.stale()) return;
    m_asked = study;
    m_askedSmall = chain.smallCell;
    auto made = std::make_shared<std::vector<AimBearing>>();
    m_space.jobs.start(
        kJob, tr("Looking round from a radio"),
        [made, study, review = m_space.live.review(), small = chain.smallCell](const Job& job) {
            *made = aimBearings(*study, review, small, job);
        },
        [this, made, study, chain, self = QPointer<AimRose>(this)](Outcome outcome) {
            if (!self || m_asked != study || m_askedSmall != chain.smallCell) return;
            m_asked.reset();
            if (outcome != Outcome::done || made->empty()) return;
            m_bearings = std::move(*made);
            m_small = chain.smallCell;
            m_radio = chain.radio;
            m_study = study;
            m_drawn = {};
            emit changed();
        },
        JobBoard::Manner::quiet);
}

std::optional<PlanePoint> AimRose::centre() const {
    if (m_bearings.empty() || !m_space.shown.on(MapLayer::aimRose)) return std::nullopt;
    const Radio* radio = m_space.document.plan().radios.find(m_radio);
    if (!radio) return std::nullopt;
    if (const auto dragged = m_space.drag.mount(radio->mount)) return dragged->at;
    return std::nullopt;
}

double AimRose::fullScale() const {
    double best = 0;
    for (const AimBearing& b : m_bearings) best = std::max(best, b.fit);
    return std::max(20.0, std::ceil(best / 20) * 20);
}

void AimRose::drawBars(QPainter& painter, QPointF c, const WindowPalette& colors) const {
    const double half = kStepDeg / 2;
    const double scale = (kOuterPx - kInnerPx) / fullScale();
    QColor calm = colors.accent;
    calm.setAlphaF(0.5F);
    QPainterPath blocked;
    for (std::size_t k = 0; k < m_bearings.size(); ++k) {
        const AimBearing& b = m_bearings[k];
        const double deg = b.azimuth.deg - m_look.turn;
        const bool here = static_cast<int>(k) == m_look.here;
        painter.setPen(QPen(colors.accent, here ? 2 : 1));
        painter.setBrush(b.blocked ? QBrush(Qt::NoBrush) : QBrush(here ? colors.accent : calm));
        painter.drawPath(wedge(c, deg - half + kGapDeg, deg + half - kGapDeg, kInnerPx,
                               kInnerPx + std::max(2.0, b.fit * scale)));
        // Grown a little, so that neighbours become one piece.
        if (b.blocked) blocked |= wedge(c, deg - half - 0.1, deg + half + 0.1, kInnerPx, kOuterPx);
    }
    if (!blocked.isEmpty()) hatch(painter, c, blocked, colors);
}

void AimRose::draw(QPainter& painter, QPointF c, const WindowPalette& colors) const {
    painter.setRenderHint(QPainter::Antialiasing);
    QColor wash = colors.base;
    wash.setAlphaF(0.45F); // bars and hatch stand out from whatever tints the ground
    painter.setPen(Qt::NoPen);
    QPainterPath ring;
    ring.addEllipse(c, kOuterPx, kOuterPx);
    ring.addEllipse(c, kInnerPx, kInnerPx);
    painter.fillPath(ring, wash);
    painter.setBrush(Qt::NoBrush);
    painter.setPen(QPen(colors.inkFaint, 1));
    painter.drawEllipse(c, kInnerPx, kInnerPx);
    painter.setPen(QPen(colors.inkFaint, 1, Qt::DotLine));
    painter.drawEllipse(c, kOuterPx, kOuterPx);
    drawBars(painter, c, colors);
    const QString full = tr("fit %1", "at the outer ring").arg(figure(fullScale(), {}, 0));
    const QFontMetricsF metrics(painter.font());
    QRectF label(0, 0, metrics.horizontalAdvance(full) + 8, metrics.height());
    label.moveCenter(c - QPointF(0, kOuterPx));
    painter.setPen(Qt::NoPen);
    painter.setBrush(colors.base);
    painter.drawRoundedRect(label, 3, 3);
    painter.setPen(colors.ink);
    painter.drawText(label, Qt::AlignCenter, full);
}

void AimRose::paint(QPainter& painter, const Camera& camera, const WindowPalette& colors) const {
    const auto at = centre();
    if (!at || camera.metresPerPixel > kFarthest) return;
    const QPointF c = camera.toScreen(*at);
    const QFontMetricsF metrics(painter.font());
    const double rim = kOuterPx + metrics.height();
    if (!QRectF({0, 0}, camera.size).adjusted(-rim, -rim, rim, rim).contains(c)) return;
    const auto radio = m_space.drag.radio(m_radio);
    const Look look{std::max(1.0, std::abs(painter.deviceTransform().m11())),
                    // North of the grid is up; a drag must not turn the ring by what nobody sees.
                    std::round(m_space.document.frame().convergenceDeg(*at) * 10) / 10,
                    radio ? barAt(radio->azimuth) : -1, metrics.height(), colors.dark};
    if (m_drawn.isNull() || look != m_look) {
        m_look = look;
        m_drawn = QPixmap((QSizeF(2 * rim, 2 * rim) * look.ratio).toSize());
        m_drawn.setDevicePixelRatio(look.ratio);
        m_drawn.fill(Qt::transparent);
        QPainter p(&m_drawn);
        p.setFont(painter.font());
        draw(p, {rim, rim}, colors);
    }
    painter.save();
    if (stale()) painter.setOpacity(kStaleOpacity);
    painter.drawPixmap(c - QPointF(rim, rim), m_drawn);
    painter.restore();
}

std::optional<QString> AimRose::textAt(QPointF screen, const Camera& camera) const {
    const auto at = centre();
    if (!at || camera.metresPerPixel > kFarthest) return std::nullopt;
    const QPointF d = screen - camera.toScreen(*at);
    const double away = std::hypot(d.x(), d.y());
    if (away < kInnerPx || away > kOuterPx) return std::nullopt;
    const double grid = degrees(std::atan2(d.x(), -d.y()));
    const double azimuth = m_space.document.frame().toTrue(GridAzimuth::of(grid), *at).deg;
    const AimBearing& b = m_bearings[static_cast<std::size_t>(barAt(TrueAzimuth::of(azimuth)))];
    const QString where = bearing(b.azimuth.deg), fit = figure(b.fit, {}, 0);
    //: %1 a bearing, %2 the fit there, %3 the sentence of a finding
    if (b.blocked) return tr("%1 true: fit %2, blocked. %3").arg(where, fit, coreText(b.why));
    //: %1 a bearing, %2 the fit there
    return tr("%1 true: fit %2").arg(where, fit);
}

} // namespace fw
