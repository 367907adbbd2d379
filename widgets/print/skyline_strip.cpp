// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/skyline_strip.h"

#include "print/symbols.h"
#include "skyline/distance_class.h"

#include <QPainterPath>

#include <algorithm>
#include <array>
#include <cmath>

namespace fw {

namespace {

constexpr double kBottomDeg = -15;
constexpr int kGround = static_cast<int>(kDistanceClasses.size()), kOwn = kGround + 1;

QColor tintOf(const PaperPalette& palette, int k) { return inkTint(palette, 0.28 + 0.145 * k); }

} // namespace

QString radioLetter(std::size_t radio) { return QString(QChar(static_cast<char16_t>(u'A' + radio % 26))); }

QString markText(const SiteSheet& sheet, std::size_t radio, int number) {
    return (sheet.radios.size() > 1 ? radioLetter(radio) : QString()) + QString::number(number);
}

SkylineStrip::SkylineStrip(Paper& paper, const SiteSheet& sheet, const QRectF& frame)
    : m_paper(paper), m_sheet(sheet), m_frame(frame), m_plot(frame.adjusted(9, 5.5, -0.5, -9)) {
    // The seam goes where no beam is: opposite the mean direction of the radios.
    double x = 0, y = 0;
    for (const RadioSheet& r : sheet.radios) {
        x += std::sin(radians(r.azimuth.deg));
        y += std::cos(radians(r.azimuth.deg));
    }
    m_middleDeg = std::hypot(x, y) > 0.1 ? degrees(std::atan2(x, y))
                  : sheet.radios.empty() ? 0
                                         : sheet.radios.front().azimuth.deg + 90;
    if (!sheet.skyline) return;
    double highest = 12;
    // The wall that carries the antenna would squeeze everything else: it may run out of the strip.
    for (const auto& b : sheet.skyline->bearing)
        if (!b.cause || b.cause != sheet.ownBuilding)
            highest = std::max(highest, static_cast<double>(b.elevationDeg));
    m_topDeg = std::clamp(std::ceil((highest + 3) / 10) * 10, 20.0, 60.0);
}

QPointF SkylineStrip::at(double azimuth, double elevation) const {
    const double e = std::clamp(elevation, kBottomDeg, m_topDeg);
    return {m_plot.center().x() + wrap180(azimuth - m_middleDeg) / 360 * m_plot.width(),
            m_plot.bottom() - (e - kBottomDeg) / (m_topDeg - kBottomDeg) * m_plot.height()};
}

void SkylineStrip::draw() {
    m_paper.place(m_frame, "skyline strip");
    m_paper.beginDrawing(m_frame);
    m_paper.painter().fillRect(m_plot, m_paper.colors().paper);
    if (m_sheet.skyline) drawTops();
    drawWindows();
    drawMarks();
    drawThings();
    drawOwnName();
    drawAxes();
    drawKey();
}

void SkylineStrip::drawTops() {
    QPainter& p = m_paper.painter();
    const double step = m_plot.width() / Skyline::kBearings;
    std::array<QPainterPath, kDistanceClasses.size()> paths;
    QPainterPath ground, own;
    // From the left edge of the plot to the right, runs of one tint as one path: no seams between them.
    const double left = m_middleDeg - 180;
    QPolygonF run;
    int runClass = -1;
    const auto flush = [&](double x) {
        if (run.isEmpty()) return;
        run << QPointF(x, m_plot.bottom());
        QPainterPath& into = runClass == kGround ? ground
                             : runClass == kOwn  ? own
                                                 : paths[static_cast<std::size_t>(runClass)];
        into.addPolygon(run);
        run.clear();
    };
    for (int k = 0; k < Skyline::kBearings; ++k) {
        const double azimuth = left + (k + 0.5) * 0.5;
        const auto& b = m_sheet.skyline->at(wrap360(azimuth - m_sheet.convergenceDeg));
        const double x = m_plot.left() + k * step;
        const double y = at(m_middleDeg, static_cast<double>(b.elevationDeg)).y();
        const int c = !b.cause                         ? kGround
                      : b.cause == m_sheet.ownBuilding ? kOwn
                                                       : distanceClassOf(static_cast<double>(b.distanceM));
        if (c != runClass) {
            flush(x);
            runClass = c;
            run << QPointF(x, m_plot.bottom());
        }
        run << QPointF(x, y) << QPointF(x + step, y);
    }
    flush(m_plot.right());
    p.setPen(Qt::NoPen);
    p.setBrush(m_paper.colors().wash);
    p.drawPath(ground);
    p.setBrush(m_paper.colors().hairline);
    p.drawPath(own);
    for (std::size_t i = 0; i < paths.size(); ++i) {
        p.setBrush(tintOf(m_paper.colors(), static_cast<int>(i)));
        p.drawPath(paths[i]);
    }
    p.setBrush(Qt::NoBrush);
}

// The carrier of the antenna is named where it takes up enough of the view to be taken for something else.
void SkylineStrip::drawOwnName() {
    if (!m_sheet.skyline || !m_sheet.ownBuilding) return;
    const TextStyle style{6.5, false, m_paper.colors().inkSoft};
    constexpr int kWide = 60; // bearings: 30 deg
    int from = -1;
    for (int k = 0; k <= Skyline::kBearings; ++k) {
        const double azimuth = m_middleDeg - 180 + (k + 0.5) * 0.5;
        const bool own =
            k < Skyline::kBearings &&
            m_sheet.skyline->at(wrap360(azimuth - m_sheet.convergenceDeg)).cause == m_sheet.ownBuilding;
        if (own && from < 0) from = k;
        if (own || from < 0) continue;
        const double middle = m_plot.left() + (from + k) / 2.0 / Skyline::kBearings * m_plot.width();
        if (k - from >= kWide) m_paper.label({middle, m_plot.bottom() - 3}, Pack::tr("own building"), style);
        from = -1;
    }
}

void SkylineStrip::drawWindows() {
    QPainter& p = m_paper.painter();
    for (const RadioSheet& r : m_sheet.radios) {
        const double half = std::min(r.hBeamDeg, 359.0) / 360 * m_plot.width() / 2;
        const QPointF middle = at(r.azimuth.deg, -r.tiltDeg);
        const double top = at(r.azimuth.deg, -r.tiltDeg + r.vBeamDeg / 2).y();
        const double bottom = at(r.azimuth.deg, -r.tiltDeg - r.vBeamDeg / 2).y();
        p.save();
        p.setClipRect(m_plot);
        QColor fill = m_paper.colors().accent;
        fill.setAlphaF(0.18F);
        // Drawn once more a turn to either side: a window over the seam shows at both ends.
        for (const double turn : {-m_plot.width(), 0.0, m_plot.width()}) {
            const QRectF window(middle.x() - half + turn, top, 2 * half, bottom - top);
            p.setPen(m_paper.pen(m_paper.colors().accent, 0.35));
            p.setBrush(fill);
            p.drawRect(window);
            p.drawLine(QPointF(middle.x() + turn, middle.y() - 1.6),
                       QPointF(middle.x() + turn, middle.y() + 1.6));
            p.drawLine(QPointF(middle.x() + turn - 1.6, middle.y()),
                       QPointF(middle.x() + turn + 1.6, middle.y()));
        }
        p.restore();
    }
    p.setBrush(Qt::NoBrush);
}

void SkylineStrip::drawMarks() {
    QPainter& p = m_paper.painter();
    double lastRight = -1e9;
    struct Flag {
        double x;
        QPointF edge;
        QString text;
    };
    std::vector<Flag> flags;
    for (std::size_t i = 0; i < m_sheet.radios.size(); ++i)
        for (const SightMark& m : m_sheet.radios[i].marks) {
            const QPointF edge = at(m.azimuthTrueDeg, m.elevationDeg);
            flags.push_back({edge.x(), edge, markText(m_sheet, i, m.number)});
        }
    std::sort(flags.begin(), flags.end(), [](const Flag& a, const Flag& b) { return a.x < b.x; });
    const double y = m_frame.top() + 2.4, room = 4.4;
    for (Flag& f : flags) {
        f.x = std::max(f.x, lastRight + room);
        lastRight = f.x;
    }
    // Pushed past the right edge: the same rule from the other side.
    double limit = m_frame.right() - room / 2;
    for (auto it = flags.rbegin(); it != flags.rend(); ++it) {
        it->x = std::min(it->x, limit);
        limit = it->x - room;
    }
    for (const Flag& f : flags) {
        p.setPen(m_paper.pen(m_paper.colors().accentText, 0.2));
        p.drawPolyline(QPolygonF({QPointF(f.x, y), QPointF(f.x, m_plot.top() - 0.4), f.edge}));
        p.setBrush(m_paper.colors().accentText);
        p.drawEllipse(f.edge, 0.5, 0.5);
        drawBadge(m_paper, {f.x, y}, f.text, 3.8, false);
        m_paper.keepClear(QRectF(f.x - 2, y - 2, 4, 4));
    }
    p.setBrush(Qt::NoBrush);
}

void SkylineStrip::drawThings() {
    QPainter& p = m_paper.painter();
    const TextStyle style{6, false, m_paper.colors().ink};
    for (const SkylineThing& t : m_sheet.things) {
        const QPointF c = at(t.azimuthTrueDeg, t.elevationDeg);
        const double size = 1.1;
        p.setPen(m_paper.pen(m_paper.colors().ink, 0.22));
        // In sight: filled; behind something: hollow.
        p.setBrush(t.inSight ? m_paper.colors().ink : m_paper.colors().paper);
        if (t.what == SkylineThing::What::macro)
            p.drawPolygon(QPolygonF({c, c + QPointF(-size, -2.2 * size), c + QPointF(size, -2.2 * size)}));
        else
            p.drawPolygon(QPolygonF(
                {c + QPointF(0, -size), c + QPointF(size, 0), c + QPointF(0, size), c + QPointF(-size, 0)}));
        p.setBrush(Qt::NoBrush);
        const QString text = QString::fromStdString(t.name);
        const double w = Paper::textWidth(text, style);
        const double x = std::clamp(c.x(), m_plot.left() + w / 2 + 0.5, m_plot.right() - w / 2 - 0.5);
        for (const double dy : {-4.4, -7.2, -10.0, 3.4})
            if (c.y() + dy > m_plot.top() + 1.2 && m_paper.patchedLabel({x, c.y() + dy}, text, style)) break;
    }
}

void SkylineStrip::drawAxes() {
    QPainter& p = m_paper.painter();
    const PaperPalette& c = m_paper.colors();
    p.setPen(m_paper.pen(c.inkFaint, 0.15));
    p.drawLine(m_plot.bottomLeft(), m_plot.bottomRight());
    QPen level = m_paper.pen(c.inkSoft, 0.15);
    level.setDashPattern({3, 3});
    p.setPen(level);
    p.drawLine(at(m_middleDeg - 180, 0), QPointF(m_plot.right(), at(m_middleDeg, 0).y()));
    const TextStyle style{6.5, false, c.inkSoft};
    for (double e = 0; e <= m_topDeg; e += m_topDeg > 40 ? 20 : 10)
        m_paper.label({m_plot.left() - 4.5, at(m_middleDeg, e).y()},
                      QStringLiteral("%1%2°").arg(e > 0 ? "+" : "").arg(e), style);
    for (int azimuth = 0; azimuth < 360; azimuth += 30) {
        const QPointF foot = at(azimuth, kBottomDeg);
        p.setPen(m_paper.pen(c.inkFaint, 0.15));
        p.drawLine(foot, foot + QPointF(0, 0.9));
        static const std::array<const char*, 4> kWords = {
            QT_TRANSLATE_NOOP("Pack", "north"), QT_TRANSLATE_NOOP("Pack", "east"),
            QT_TRANSLATE_NOOP("Pack", "south"), QT_TRANSLATE_NOOP("Pack", "west")};
        QString text = QStringLiteral("%1°").arg(azimuth, 3, 10, QLatin1Char('0'));
        if (azimuth % 90 == 0)
            text += QLatin1Char(' ') + Pack::tr(kWords[static_cast<std::size_t>(azimuth / 90)]);
        const double half = Paper::textWidth(text, style) / 2 + 0.2;
        m_paper.label({std::clamp(foot.x(), m_frame.left() + half, m_frame.right() - half), foot.y() + 2.6},
                      text, style);
    }
}

void SkylineStrip::drawKey() {
    QPainter& p = m_paper.painter();
    const TextStyle style{6.5, false, m_paper.colors().inkSoft};
    double x = m_plot.left();
    const double y = m_frame.bottom() - 1.8;
    const auto say = [&](const QString& text) {
        const double w = Paper::textWidth(text, style);
        m_paper.label({x + w / 2, y}, text, style);
        x += w + 1.5;
    };
    say(Pack::tr("Azimuth true. Nearer is darker:"));
    static const std::array<const char*, 5> kTexts = {"to 20 m", "50 m", "100 m", "200 m", "beyond"};
    for (std::size_t i = 0; i < kTexts.size(); ++i) {
        p.fillRect(QRectF(x, y - 1.1, 3, 2.2), tintOf(m_paper.colors(), static_cast<int>(i)));
        x += 3.8;
        say(QString::fromLatin1(kTexts[i]));
    }
    x += 2;
    say(Pack::tr("Triangle: macro, diamond: small cell; filled where in sight"));
}

} // namespace fw
