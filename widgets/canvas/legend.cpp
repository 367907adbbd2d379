// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/legend.h"

#include "text/figures.h"

#include <QEvent>
#include <QHelpEvent>
#include <QLocale>
#include <QPainter>
#include <QStyle>
#include <QToolTip>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr int kMostNames = 6, kFringeRows = 6;
constexpr double kHatchEvery = 5;

// A colour of the map as it looks on the map: over the ground.
void fillAsOnMap(QPainter& p, const QRectF& r, const TintPicture& picture, int color,
                 const WindowPalette& colors) {
    p.fillRect(r, colors.ground);
    p.fillRect(r, tintColor(picture.tint, color, colors, picture.moment));
}

void fillHatch(QPainter& p, const QRectF& r, const WindowPalette& colors) {
    p.save();
    p.fillRect(r, colors.ground);
    p.setClipRect(r, Qt::IntersectClip);
    p.setRenderHint(QPainter::Antialiasing);
    p.setPen(QPen(colors.area, 1));
    for (double x = r.left(); x < r.right() + r.height(); x += kHatchEvery)
        p.drawLine(QPointF(x, r.top()), QPointF(x - r.height(), r.bottom()));
    p.restore();
    p.setPen(QPen(colors.area, 1.4));
    p.setBrush(Qt::NoBrush);
    p.drawRect(r);
}

QString boundText(const TintPicture& p, double bound) {
    if (p.tint == GroundTint::rsrp && p.moment != TintMoment::change) return figure(bound, {}, 0);
    int decimals = 0; // bounds are powers of two: as many places as they need
    for (double b = bound; decimals < 3 && std::abs(b - std::round(b)) > 1e-9; b *= 10) ++decimals;
    return p.moment == TintMoment::change ? signedFigure(bound, {}, decimals) : figure(bound, {}, decimals);
}

// What an amount means, in a sentence.
QString meaningOf(const TintPicture& p) {
    switch (p.tint) {
    case GroundTint::rsrp:
        return TintLegend::tr("Of the strongest cell, 1.5 m above ground.");
    case GroundTint::sinr:
        return TintLegend::tr("Of the cell that serves, 1.5 m above ground; neighbours at their loads.");
    case GroundTint::rate:
        return TintLegend::tr("What one more user would get: bandwidth times efficiency times the share of "
                              "PRB that the live ledger leaves free. None where no load was measured.");
    case GroundTint::indoor:
        return TintLegend::tr("%1: samples behind the facades with an RSRP of %2 or more at 90 % of "
                              "locations, median entry loss.")
            .arg(storeyName(p.storey), figure(p.indoorFromDbm, QStringLiteral("dBm"), 0));
    case GroundTint::prbCost:
        return TintLegend::tr("What the macros spend where: less what small cells take over, with what their "
                              "interference adds.");
    default:
        return {};
    }
}

QString momentMeaning(const TintPicture& p, bool behindDrag, bool pair) {
    if (p.moment == TintMoment::before) return TintLegend::tr("Before: macros alone.");
    if (behindDrag) return TintLegend::tr("As of before this drag.");
    if (pair) return TintLegend::tr("Left before, right after: with the chosen small cells.");
    return p.moment == TintMoment::after ? TintLegend::tr("After: with the chosen small cells.")
                                         : TintLegend::tr("Change: after less before.");
}

} // namespace

TintLegend::TintLegend(GroundTintSource& source, QWidget* parent) : QWidget(parent), m_source(source) {
    setSizePolicy(QSizePolicy::Preferred, QSizePolicy::Fixed);
    setAccessibleName(tr("Legend of the ground"));
    connect(&source, &GroundTintSource::changed, this, &TintLegend::read);
    connect(&source, &GroundTintSource::behindChanged, this, &TintLegend::read);
    read();
}

QString TintLegend::named(ItemId id) const {
    return QString::fromStdString(m_source.picture()->study->plan().label(id));
}

// As many names as fit a row, and how many more there are.
QString TintLegend::cutList(const QStringList& names) const {
    const double room = sizeHint().width() - fontMetrics().ascent() * 1.8;
    QString text = QLocale().createSeparatedList(names);
    for (auto n = std::min<qsizetype>(names.size() - 1, kMostNames);
         n > 0 && fontMetrics().horizontalAdvance(text) > room; --n)
        //: %1 is a list of names, %n how many more there are
        text = tr("%1 and %n more", nullptr, static_cast<int>(names.size() - n))
                   .arg(names.mid(0, n).join(tr(", ", "between names")));
    return text;
}

void TintLegend::readClasses(const TintPicture& p) {
    std::array<QStringList, kTintSteps> names, smalls;
    for (const TintPicture::Class& c : p.classes)
        if (c.small || p.moment != TintMoment::change)
            (c.small ? smalls : names)[static_cast<std::size_t>(c.color)] << named(c.sector);
    for (const auto* lists : {&names, &smalls})
        for (int k = 0; k < kTintSteps; ++k) {
            const QStringList& list = (*lists)[static_cast<std::size_t>(k)];
            if (list.isEmpty()) continue;
            const QString text = lists == &names ? cutList(list) : tr("Small cells: %1").arg(list.size());
            m_rows.push_back({Row::Mark::color, k, text, QLocale().createSeparatedList(list)});
        }
    m_rows.push_back({Row::Mark::none, 0, tr("A line parts two serving areas."), {}});
    if (p.moment == TintMoment::change) addText(tr("Coloured where a small cell takes over."));
    if (p.values) addText(tr("As phones compare: RSRP, with the small cells' bias."));
}

void TintLegend::readMeaning(const TintPicture& p) {
    if (!p.values) return;
    addText(momentMeaning(p, m_source.behindDrag(), m_source.leftPicture() != nullptr));
    addText(meaningOf(p));
    if (p.moment == TintMoment::change && m_bar)
        //: %1 is an amount with its unit
        addText(tr("Changes of less than %1 are left plain.")
                    .arg(figure(p.leastChange, tintUnit(p.tint, p.moment), p.leastChange < 1 ? 1 : 0)));
    if (p.moment == TintMoment::change && !m_bar && p.tint != GroundTint::bestServer)
        addText(tr("No small cell changes anything here."));
}

// A sentence on as many rows as it takes.
void TintLegend::addText(const QString& text) {
    const int room = sizeHint().width();
    QString line;
    for (const QString& word : text.split(QLatin1Char(' '), Qt::SkipEmptyParts)) {
        const QString longer = line.isEmpty() ? word : line + QLatin1Char(' ') + word;
        if (!line.isEmpty() && fontMetrics().horizontalAdvance(longer) > room) {
            m_rows.push_back({Row::Mark::none, 0, line, text});
            line = word;
        } else {
            line = longer;
        }
    }
    if (!line.isEmpty()) m_rows.push_back({Row::Mark::none, 0, line, text});
}

void TintLegend::readFringes(const TintPicture& p) {
    const int most = std::min<int>(kFringeRows, static_cast<int>(p.fringes.size()));
    for (int k = 0; k < most; ++k)
        m_rows.push_back({Row::Mark::hatch,
                          0,
                          tr("Fringe of %1").arg(named(p.fringes[static_cast<std::size_t>(k)].cell)),
                          {}});
    const int more = static_cast<int>(p.fringes.size()) - most;
    if (more > 0) m_rows.push_back({Row::Mark::none, 0, tr("and %n more", nullptr, more), {}});
    if (p.fringes.empty())
        m_rows.push_back({Row::Mark::none, 0, tr("No cell is over its trigger: no fringe to show."), {}});
}

void TintLegend::read() {
    m_rows.clear();
    m_bar = false;
    if (const auto& p = m_source.picture()) {
        m_bar = !p->bounds.empty();
        if (p->tint == GroundTint::bestServer) readClasses(*p);
        if (p->tint == GroundTint::demandFringe) readFringes(*p);
        if (p->tint == GroundTint::prbCost && !m_bar)
            m_rows.push_back({Row::Mark::none, 0, tr("No cell has a measured load: no cost to show."), {}});
        if (p->tint == GroundTint::bestServer && p->classes.empty())
            m_rows = {{Row::Mark::none, 0, tr("No macro is heard here."), {}}};
        readMeaning(*p);
    }
    setVisible(m_bar || !m_rows.empty());
    QStringList spoken;
    if (m_bar) {
        const TintPicture& p = *m_source.picture();
        const auto bounded = [&](double b) {
            return p.moment == TintMoment::change ? tintChangeFigure(p.tint, b) : tintFigure(p.tint, b);
        };
        //: %1 and %2 are amounts with their unit
        spoken << tr("from %1 to %2").arg(bounded(p.bounds.front()), bounded(p.bounds.back()));
    }
    for (const Row& r : m_rows) spoken << r.text;
    setAccessibleDescription(spoken.join(QLatin1Char('\n')));
    updateGeometry();
    update();
}

int TintLegend::rowHeight() const { return fontMetrics().height() + 3; }
int TintLegend::barHeight() const { return m_bar ? rowHeight() + fontMetrics().height() * 2 + 6 : 0; }

QSize TintLegend::sizeHint() const {
    return {fontMetrics().averageCharWidth() * 34,
            barHeight() + static_cast<int>(m_rows.size()) * rowHeight()};
}

void TintLegend::paintBar(QPainter& p, const WindowPalette& colors) const {
    const TintPicture& picture = *m_source.picture();
    const double top = rowHeight(), step = static_cast<double>(width()) / kTintSteps,
                 h = fontMetrics().height();
    p.setPen(colors.inkSoft);
    p.drawText(QRectF(0, 0, width(), top), Qt::AlignVCenter | Qt::AlignLeading,
               tintUnit(picture.tint, picture.moment));
    const bool mirrored = layoutDirection() == Qt::RightToLeft;
    const auto left = [&](double k) { return mirrored ? width() - (k + 1) * step : k * step; };
    for (int k = 0; k < kTintSteps; ++k) fillAsOnMap(p, QRectF(left(k), top, step, h), picture, k, colors);
    p.setPen(colors.inkFaint);
    p.setBrush(Qt::NoBrush);
    p.drawRect(QRectF(0.5, top + 0.5, width() - 1, h - 1));
    p.setPen(colors.ink);
    double free = mirrored ? width() + 1.0 : -1.0; // figures that would touch the one before are left out
    for (std::size_t k = 0; k < picture.bounds.size(); ++k) {
        const QString text = boundText(picture, picture.bounds[k]);
        const double at = left(static_cast<double>(k)) + (mirrored ? 0 : step),
                     w = fontMetrics().horizontalAdvance(text);
        p.drawLine(QPointF(at, top + h - 3), QPointF(at, top + h + 1));
        if (mirrored ? at + w / 2 > free : at - w / 2 < free) continue;
        p.drawText(QRectF(at - w, top + h + 1, 2 * w, h), Qt::AlignHCenter | Qt::AlignTop, text);
        free = mirrored ? at - w / 2 - 3 : at + w / 2 + 3;
    }
}

void TintLegend::paintEvent(QPaintEvent*) {
    if (!m_source.picture()) return;
    const WindowPalette& colors = windowPalette(palette());
    QPainter p(this);
    if (m_bar) paintBar(p, colors);
    const double side = fontMetrics().ascent(), high = rowHeight();
    double y = barHeight();
    for (const Row& r : m_rows) {
        const double indent = r.mark == Row::Mark::none ? 0 : side * 1.8;
        const QRectF row(0, y, width(), high);
        const QRectF mark = QStyle::visualRect(layoutDirection(), rect(),
                                               QRectF(0, y + (high - side) / 2, side * 1.4, side).toRect());
        if (r.mark == Row::Mark::color) {
            fillAsOnMap(p, mark, *m_source.picture(), r.color, colors);
            p.setPen(colors.inkSoft);
            p.setBrush(Qt::NoBrush);
            p.drawRect(mark);
        } else if (r.mark == Row::Mark::hatch) {
            fillHatch(p, mark, colors);
        }
        p.setPen(r.mark == Row::Mark::none ? colors.inkSoft : colors.ink);
        const QString text =
            fontMetrics().elidedText(r.text, Qt::ElideRight, static_cast<int>(width() - indent));
        const bool mirrored = layoutDirection() == Qt::RightToLeft;
        p.drawText(row.adjusted(mirrored ? 0 : indent, 0, mirrored ? -indent : 0, 0),
                   Qt::AlignVCenter | Qt::AlignLeading, text);
        y += high;
    }
}

bool TintLegend::event(QEvent* e) {
    if (e->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(e);
        const int k = (help->pos().y() - barHeight()) / std::max(1, rowHeight());
        if (help->pos().y() >= barHeight() && k < static_cast<int>(m_rows.size())) {
            const Row& r = m_rows[static_cast<std::size_t>(k)];
            QToolTip::showText(help->globalPos(), r.whole.isEmpty() ? r.text : r.whole, this);
            return true;
        }
    }
    if (e->type() == QEvent::FontChange || e->type() == QEvent::LayoutDirectionChange) {
        read(); // rows are as long as the font allows
        updateGeometry();
    }
    return QWidget::event(e);
}

SignLegend::SignLegend(QWidget* parent)
    : QWidget(parent), m_signs{{Sign::macro, tr("Macro site")},     {Sign::block, tr("Finding: block")},
                               {Sign::chosen, tr("Small cell")},    {Sign::warn, tr("Finding: warn")},
                               {Sign::candidate, tr("Candidate")},  {Sign::note, tr("Finding: note")},
                               {Sign::bare, tr("Free mount")},      {Sign::notAsked, tr("Owner not asked")},
                               {Sign::asked, tr("Owner asked")},    {Sign::agreed, tr("Owner agreed")},
                               {Sign::refused, tr("Owner refused")}} {
    setSizePolicy(QSizePolicy::Preferred, QSizePolicy::Fixed);
    setAccessibleName(tr("Legend of the signs"));
    QStringList words;
    for (const auto& [sign, word] : m_signs) words << word;
    setAccessibleDescription(words.join(QLatin1Char('\n')));
}

QSize SignLegend::cell() const {
    int widest = 0;
    for (const auto& [sign, word] : m_signs) widest = std::max(widest, fontMetrics().horizontalAdvance(word));
    const int h = fontMetrics().height();
    return {2 * h + widest + h / 2, h + 8};
}

QSize SignLegend::sizeHint() const {
    const int rows = static_cast<int>(m_signs.size() + 1) / 2;
    return {2 * cell().width(), rows * cell().height()};
}

void SignLegend::changeEvent(QEvent* e) {
    if (e->type() == QEvent::FontChange) updateGeometry();
    QWidget::changeEvent(e);
}

void SignLegend::draw(QPainter& p, QPointF at, Sign sign) {
    const double scale = fontMetrics().height() / 17.0;
    switch (sign) {
    case Sign::macro: {
        MacroSign site;
        site.sectors.push_back({{}, 45, 65});
        m_sheet.macro(p, at + QPointF(-5, 3) * scale, site, 0.7 * scale);
        break;
    }
    case Sign::chosen:
    case Sign::candidate:
    case Sign::bare: {
        MountSign mount;
        const RadioState state = sign == Sign::chosen ? RadioState::chosen : RadioState::candidate;
        if (sign != Sign::bare) mount.radios.push_back({{}, 90, 65, state});
        const QPointF foot = at - QPointF(sign == Sign::bare ? 0 : 5 * scale, 0);
        m_sheet.support(p, foot, mount, scale);
        for (const RadioSign& r : mount.radios) m_sheet.plate(p, foot, r, scale);
        break;
    }
    case Sign::notAsked:
    case Sign::asked:
    case Sign::agreed:
    case Sign::refused:
        m_sheet.owner(p, at,
                      static_cast<ConsentState>(static_cast<int>(sign) - static_cast<int>(Sign::notAsked)),
                      scale);
        break;
    case Sign::note:
    case Sign::warn:
    case Sign::block:
        m_sheet.finding(p, at, static_cast<int>(sign) - static_cast<int>(Sign::note), scale);
        break;
    }
}

void SignLegend::paintEvent(QPaintEvent*) {
    const WindowPalette& colors = windowPalette(palette());
    QPainter p(this);
    p.setRenderHint(QPainter::Antialiasing);
    m_sheet.setLook(colors, font(), devicePixelRatioF());
    const QSize size = cell();
    const int h = fontMetrics().height();
    for (int k = 0; k < m_signs.size(); ++k) {
        const QRect box(k % 2 * (width() / 2), k / 2 * size.height(), width() / 2, size.height());
        const QRect place = QStyle::visualRect(layoutDirection(), rect(), box);
        const QRect sign =
            QStyle::visualRect(layoutDirection(), place, QRect(place.topLeft(), QSize(2 * h, size.height())));
        draw(p, QRectF(sign).center(), m_signs[k].first);
        const QRect text = layoutDirection() == Qt::RightToLeft ? place.adjusted(0, 0, -2 * h, 0)
                                                                : place.adjusted(2 * h, 0, 0, 0);
        p.setPen(colors.ink);
        p.drawText(text, Qt::AlignVCenter | Qt::AlignLeading, m_signs[k].second);
    }
}

} // namespace fw
