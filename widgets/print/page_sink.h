// SPDX-License-Identifier: GPL-3.0-or-later
// Where drawn pages go: into a PDF, or into pictures that can be shown again at any size.
#pragma once

#include <QPainter>
#include <QPdfWriter>
#include <QPicture>
#include <QSizeF>

#include <vector>

namespace fw {

/// A device that takes one page after another, each measured in hundredths of a millimetre.
class PageSink {
public:
    PageSink() = default;
    PageSink(const PageSink&) = delete;
    PageSink& operator=(const PageSink&) = delete;
    virtual ~PageSink() = default;

    static constexpr double kUnitsPerMm = 100;

    [[nodiscard]] virtual QSizeF sheetMm() const = 0;
    /// Puts the painter on a fresh page; what it drew before is finished. The last page is finished when the
    /// painter ends.
    virtual void nextPage(QPainter& painter) = 0;
    /// False: only the layout is wanted, text need not be drawn.
    [[nodiscard]] virtual bool drawsText() const { return true; }
};

/// Pages of a PDF. Takes the page size of the writer, and gives it a resolution and no margins.
class PdfPages : public PageSink {
public:
    explicit PdfPages(QPdfWriter& writer);
    [[nodiscard]] QSizeF sheetMm() const override;
    void nextPage(QPainter& painter) override;

private:
    QPdfWriter& m_writer;
};

/// A page as a drawing without resolution. Painted on one thread at a time.
struct PackPage {
    QPicture picture; ///< in hundredths of a millimetre
    QSizeF sheetMm;
    /// Draws the page, with its white paper, into a rectangle of the painter; shape of the sheet is kept when
    /// the rectangle has it.
    void paint(QPainter& painter, const QRectF& target) const;
};

/// Pages that nobody keeps: for counting them.
class CountedPages : public PageSink {
public:
    explicit CountedPages(QSizeF sheetMm) : m_sheetMm(sheetMm) {}
    [[nodiscard]] QSizeF sheetMm() const override { return m_sheetMm; }
    void nextPage(QPainter& painter) override;
    [[nodiscard]] bool drawsText() const override { return false; }

private:
    QSizeF m_sheetMm;
    QPicture m_page;
};

/// Pages kept as drawings.
class RecordedPages : public PageSink {
public:
    explicit RecordedPages(QSizeF sheetMm) : m_sheetMm(sheetMm) {}
    [[nodiscard]] QSizeF sheetMm() const override { return m_sheetMm; }
    void nextPage(QPainter& painter) override;
    /// What was drawn; the painter has ended.
    [[nodiscard]] std::vector<PackPage> take() { return std::move(m_pages); }

private:
    QSizeF m_sheetMm;
    std::vector<PackPage> m_pages;
};

} // namespace fw
