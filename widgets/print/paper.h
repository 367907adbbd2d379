// SPDX-License-Identifier: GPL-3.0-or-later
// A printed page in millimetres: text that wraps and never runs out, and a record of what lies where.
#pragma once

#include "print/page_record.h"
#include "print/page_sink.h"
#include "theme/palette.h"

#include <QCoreApplication>
#include <QPainter>
#include <QPainterPath>
#include <QTextLayout>

#include <cmath>
#include <memory>

namespace fw {

/// Sentences of the pack, for translation.
struct Pack {
    Q_DECLARE_TR_FUNCTIONS(Pack)
};

inline QString q(const std::string& s) { return QString::fromStdString(s); }

/// "61 %" of a share, the same in every locale.
inline QString percentText(double share) { return QStringLiteral("%1 %").arg(std::lround(share * 100)); }

struct TextStyle {
    double pt = 8.5;
    bool bold = false;
    QColor color{}; ///< invalid: ink
    Qt::AlignmentFlag align = Qt::AlignLeft;
    int maxLines = 0; ///< 0: as many as it takes; else the last one ends in an ellipsis
};

/// Text broken into lines of one width, ready to be drawn.
class LaidText {
public:
    LaidText(const QString& text, double widthMm, const TextStyle& style);
    [[nodiscard]] double heightMm() const { return m_heightMm; }
    [[nodiscard]] double widthMm() const { return m_inkMm.width(); } ///< of the widest line
    [[nodiscard]] QRectF inkMm() const { return m_inkMm; } ///< from the upper left corner of the block
    [[nodiscard]] int lines() const { return m_layout->lineCount(); }
    /// How many characters of the text lie in whole lines within that height.
    [[nodiscard]] int charactersWithin(double heightMm) const;
    void draw(QPainter& painter, QPointF topLeftMm) const;

private:
    void breakLines(double widthUnits, const TextStyle& style);
    [[nodiscard]] QPainterPath outlines() const;
    std::unique_ptr<QTextLayout> m_layout;
    QColor m_color;
    double m_heightMm = 0;
    QRectF m_inkMm;
};

/// Draws page after page.
class Paper {
public:
    static constexpr double kMarginMm = 15, kFootMm = 8;

    /// @param record  is filled as pages are drawn
    Paper(PageSink& device, PackRecord& record);

    void newPage();
    [[nodiscard]] int page() const { return static_cast<int>(m_record.pages.size()); } ///< from 1
    /// Area for content, above the foot line (mm).
    [[nodiscard]] QRectF content() const { return m_content; }
    [[nodiscard]] QRectF sheet() const { return m_sheet; }
    QPainter& painter() { return m_painter; } ///< in millimetres
    [[nodiscard]] const PaperPalette& colors() const { return m_palette; }
    PageRecord& record() { return m_record.pages.back(); }

    /// Draws and notes a text; returns its height (mm). Empty text: nothing, 0.
    double text(QPointF topLeftMm, double widthMm, const QString& text, const TextStyle& style = {},
                const char* what = "text");
    static double textHeight(const QString& text, double widthMm, const TextStyle& style = {});
    static double textWidth(const QString& text, const TextStyle& style = {});
    /// Notes a block that is drawn by other means.
    void place(const QRectF& rect, const char* what);
    /// Opens a group of labels inside a drawing; later labels go to the newest group.
    void beginDrawing(const QRectF& frame);
    /// As label(), on a patch of paper so that it reads over anything.
    bool patchedLabel(QPointF centreMm, const QString& text, const TextStyle& style);
    /// Draws a one-line label centred on a place if it fits into the drawing and off its neighbours.
    bool label(QPointF centreMm, const QString& text, const TextStyle& style, double turnDeg = 0);
    /// Keeps labels off this part of the newest drawing; notes nothing.
    void keepClear(const QRectF& rect) { m_blocked.push_back(rect); }
    [[nodiscard]] bool isClear(const QRectF& rect) const;

    void rule(double xMm, double yMm, double widthMm, const QColor& color, double thickMm = 0.15);
    [[nodiscard]] QPen pen(const QColor& color, double widthMm) const;

private:
    PageSink& m_device;
    PackRecord& m_record;
    PaperPalette m_palette;
    QRectF m_sheet, m_content;
    QPainter m_painter;
    QVector<QRectF> m_blocked;
};

} // namespace fw
