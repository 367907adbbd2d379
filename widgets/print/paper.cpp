// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/paper.h"

#include "theme/paper_fonts.h"

#include <QFontMetricsF>
#include <QGlyphRun>
#include <QHash>
#include <QPaintEngine>
#include <QRawFont>
#include <QTextOption>

#include <algorithm>
#include <cmath>
#include <vector>

namespace fw {

namespace {

// Text is laid out in hundredths of a millimetre: large enough that whole-pixel font sizes do not show.
constexpr double kUnitsPerMm = PageSink::kUnitsPerMm, kUnitsPerPt = kUnitsPerMm * 25.4 / 72;
constexpr double kLinePitch = 1.24; // of the font size

// Reading an outline from its face costs more than all else of a page; a pack has few different glyphs.
const QPainterPath& glyphOutline(const QRawFont& font, quint32 glyph) {
    struct Face {
        QRawFont font;
        QHash<quint32, QPainterPath> outlines;
    };
    thread_local std::vector<Face> faces; // a raw font belongs to the thread it was made on
    auto face = std::find_if(faces.begin(), faces.end(), [&](const Face& f) { return f.font == font; });
    if (face == faces.end()) {
        if (faces.size() >= 64) faces.clear();
        faces.push_back({font, {}});
        face = faces.end() - 1;
    }
    const auto known = face->outlines.constFind(glyph);
    if (known != face->outlines.constEnd()) return *known;
    return *face->outlines.insert(glyph, font.pathForGlyph(glyph));
}

} // namespace

LaidText::LaidText(const QString& text, double widthMm, const TextStyle& style) : m_color(style.color) {
    QString clean = text;
    // Line breaks of the data are kept, other control characters would print as boxes.
    clean.replace(QStringLiteral("\r\n"), QStringLiteral("\n")).replace(QLatin1Char('\t'), QLatin1Char(' '));
    clean.replace(QLatin1Char('\n'), QChar::LineSeparator);
    clean.removeIf([](QChar c) { return c.category() == QChar::Other_Control; });
    m_layout = std::make_unique<QTextLayout>(clean, paperFont(style.pt * kUnitsPerPt, style.bold));
    QTextOption option;
    option.setWrapMode(QTextOption::WrapAtWordBoundaryOrAnywhere);
    // A right-to-left name keeps its reading order but stands where the sheet puts it.
    option.setTextDirection(Qt::LayoutDirectionAuto);
    option.setAlignment(style.align | Qt::AlignAbsolute);
    m_layout->setTextOption(option);
    breakLines(std::max(widthMm, 0.1) * kUnitsPerMm, style);
}

void LaidText::breakLines(double width, const TextStyle& style) {
    const double pitch = style.pt * kUnitsPerPt * kLinePitch;
    for (int pass = 0; pass < 2; ++pass) {
        double y = 0;
        int cutAt = -1;
        QRectF ink;
        m_layout->beginLayout();
        for (QTextLine line = m_layout->createLine(); line.isValid(); line = m_layout->createLine()) {
            line.setLineWidth(width);
            // Faces of other scripts stand taller; their lines get the room they ask for.
            const double need = std::max(pitch, line.height() * 0.92);
            line.setPosition(QPointF(0, y + (need - line.height()) / 2));
            QRectF rect = line.naturalTextRect();
            rect.setTop(y);
            rect.setHeight(need);
            ink = ink.isNull() ? rect : ink.united(rect);
            y += need;
            const bool full = style.maxLines > 0 && m_layout->lineCount() == style.maxLines;
            if (full && line.textStart() + line.textLength() < m_layout->text().size())
                cutAt = line.textStart();
            if (full) break;
        }
        m_layout->endLayout();
        m_heightMm = y / kUnitsPerMm;
        m_inkMm = QRectF(ink.topLeft() / kUnitsPerMm, ink.size() / kUnitsPerMm);
        if (cutAt < 0 || pass == 1) return;
        const QString text = m_layout->text();
        const QString rest = text.mid(cutAt).replace(QChar::LineSeparator, QLatin1Char(' '));
        m_layout->setText(text.left(cutAt) +
                          QFontMetricsF(m_layout->font()).elidedText(rest, Qt::ElideRight, width * 0.985));
    }
}

int LaidText::charactersWithin(double heightMm) const {
    int characters = 0;
    for (int i = 0; i < m_layout->lineCount(); ++i) {
        const QTextLine line = m_layout->lineAt(i);
        if ((line.y() + line.height()) / kUnitsPerMm > heightMm + 0.01) break;
        characters = line.textStart() + line.textLength();
    }
    return characters;
}

void LaidText::draw(QPainter& painter, QPointF at) const {
    painter.save();
    painter.translate(at);
    painter.scale(1 / kUnitsPerMm, 1 / kUnitsPerMm);
    if (painter.paintEngine() && painter.paintEngine()->type() == QPaintEngine::Picture)
        painter.fillPath(outlines(), m_color);
    else {
        painter.setPen(m_color);
        m_layout->draw(&painter, QPointF(0, 0));
    }
    painter.restore();
}

// A picture sets its text anew when it is played, piece by piece: lines of mixed scripts lose their common
// baseline, right-to-left pieces their brackets. Outlines stay where the layout has put them.
QPainterPath LaidText::outlines() const {
    QPainterPath path;
    path.setFillRule(Qt::WindingFill);
    for (const QGlyphRun& run : m_layout->glyphRuns()) {
        const QRawFont font = run.rawFont();
        const QVector<quint32> glyphs = run.glyphIndexes();
        const QVector<QPointF> places = run.positions();
        for (qsizetype i = 0; i < glyphs.size(); ++i)
            path.addPath(glyphOutline(font, glyphs[i]).translated(places[i]));
    }
    return path;
}

Paper::Paper(PageSink& device, PackRecord& record) : m_device(device), m_record(record) {
    loadPaperFonts();
    m_sheet = QRectF(QPointF(0, 0), m_device.sheetMm());
    m_content = m_sheet.adjusted(kMarginMm, kMarginMm, -kMarginMm, -kMarginMm - kFootMm + 3);
}

void Paper::newPage() {
    m_device.nextPage(m_painter);
    m_painter.resetTransform();
    m_painter.scale(kUnitsPerMm, kUnitsPerMm);
    m_painter.setRenderHint(QPainter::Antialiasing);
    PageRecord page;
    page.sheetMm = m_sheet.size();
    page.contentMm = m_sheet.adjusted(kMarginMm, kMarginMm, -kMarginMm, -kMarginMm + 5);
    m_record.pages.push_back(page);
    m_blocked.clear();
}

double Paper::text(QPointF at, double widthMm, const QString& text, const TextStyle& style,
                   const char* what) {
    if (text.isEmpty()) return 0;
    TextStyle s = style;
    if (!s.color.isValid()) s.color = m_palette.ink;
    const LaidText laid(text, widthMm, s);
    if (m_device.drawsText()) laid.draw(m_painter, at);
    place(laid.inkMm().translated(at), what);
    return laid.heightMm();
}

double Paper::textHeight(const QString& text, double widthMm, const TextStyle& style) {
    return text.isEmpty() ? 0 : LaidText(text, widthMm, style).heightMm();
}

double Paper::textWidth(const QString& text, const TextStyle& style) {
    return text.isEmpty() ? 0 : LaidText(text, 1000, style).widthMm();
}

void Paper::place(const QRectF& rect, const char* what) {
    record().blocks.push_back({rect, QString::fromUtf8(what)});
}

void Paper::beginDrawing(const QRectF& frame) {
    record().drawings.push_back({frame, {}});
    m_blocked.clear();
}

bool Paper::isClear(const QRectF& rect) const {
    return std::none_of(m_blocked.begin(), m_blocked.end(),
                        [&](const QRectF& b) { return b.intersects(rect); });
}

bool Paper::label(QPointF centre, const QString& text, const TextStyle& style, double turnDeg) {
    if (text.isEmpty() || record().drawings.isEmpty()) return false;
    TextStyle s = style;
    if (!s.color.isValid()) s.color = m_palette.ink;
    s.align = Qt::AlignLeft;
    s.maxLines = 1;
    const LaidText laid(text, 1000, s);
    const double w = laid.widthMm(), h = laid.heightMm();
    QTransform turn;
    turn.translate(centre.x(), centre.y());
    turn.rotate(turnDeg);
    const QRectF box = turn.mapRect(QRectF(-w / 2, -h / 2, w, h));
    PlacedLabels& drawing = record().drawings.back();
    if (!drawing.frame.contains(box) || !isClear(box)) return false;
    m_painter.save();
    m_painter.translate(centre);
    m_painter.rotate(turnDeg);
    if (m_device.drawsText()) laid.draw(m_painter, QPointF(-w / 2 - laid.inkMm().left(), -h / 2));
    m_painter.restore();
    drawing.labels.push_back({box, text});
    m_blocked.push_back(box);
    return true;
}

bool Paper::patchedLabel(QPointF centre, const QString& text, const TextStyle& style) {
    TextStyle s = style;
    s.maxLines = 1;
    const LaidText laid(text, 1000, s);
    const QRectF box(centre.x() - laid.widthMm() / 2, centre.y() - laid.heightMm() / 2, laid.widthMm(),
                     laid.heightMm());
    if (record().drawings.isEmpty() || !record().drawings.back().frame.contains(box) || !isClear(box))
        return false;
    QColor patch = m_palette.paper;
    patch.setAlphaF(0.82F);
    m_painter.fillRect(box.adjusted(-0.5, 0, 0.5, 0), patch);
    return label(centre, text, style);
}

void Paper::rule(double x, double y, double width, const QColor& color, double thick) {
    m_painter.setPen(pen(color, thick));
    m_painter.drawLine(QPointF(x, y), QPointF(x + width, y));
}

QPen Paper::pen(const QColor& color, double widthMm) const {
    return {color, widthMm, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin};
}

} // namespace fw
