// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "charts/ledger_rows.h"
#include "document/workspace.h"

#include <QAbstractScrollArea>
#include <QPixmap>

#include <optional>
#include <vector>

namespace fw {

/// Per macro cell a bar: use before and after, target, what each small cell takes off (the chosen one in
/// accent), the harm it adds, and until when it holds. Cells that the chosen small cell touches come first,
/// congested ones next; the order rests during a drag. Up and Down go from row to row, Enter or a click
/// chooses the cell.
class LedgerChart : public QAbstractScrollArea {
    Q_OBJECT
public:
    explicit LedgerChart(Workspace& space, QWidget* parent = nullptr);

    [[nodiscard]] const std::vector<LedgerRow>& rows() const { return m_rows; }
    /// "live", "live, settling ...", "settled" with its meaning: what the figures are.
    [[nodiscard]] QString stateText() const;
    [[nodiscard]] QString emptyText() const;
    /// Row in viewport coordinates; the bar's track within it runs from 0 to 100 % use.
    [[nodiscard]] QRect rowRect(int row) const;
    [[nodiscard]] QRectF trackRect(int row) const;
    /// Of one small cell's piece, in viewport coordinates; null when it takes nothing there.
    [[nodiscard]] QRectF pieceRect(int row, ItemId small) const;
    /// Who takes what, under a place of the viewport.
    [[nodiscard]] QString textAt(QPoint place) const;
    [[nodiscard]] int currentRow() const { return m_current; }

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

signals:
    void workingWanted(fw::Working working); ///< of a row's use after: double click, or Space

protected:
    void mouseDoubleClickEvent(QMouseEvent*) override;
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;
    void changeEvent(QEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;
    void focusInEvent(QFocusEvent*) override;
    void focusOutEvent(QFocusEvent*) override;
    bool viewportEvent(QEvent*) override;

private:
    /// A row as drawn, kept until what it says changes.
    struct Drawn {
        LedgerRow row;
        QPixmap picture;
    };
    struct Columns {
        double name = 0, track = 0, trackWide = 0, figures = 0, holds = 0, wide = 0;
    };

    void refresh();
    void resetOrder();
    void forget();
    void setRange();
    void setCurrent(int row);
    void choose(int row);
    void openWorking(int row);
    void describeAloud();
    [[nodiscard]] const Ledger* shownLedger() const;
    [[nodiscard]] int rowHeight() const;
    [[nodiscard]] int headHeight() const;
    [[nodiscard]] int rowAt(QPoint place) const;
    [[nodiscard]] Columns columns() const;
    [[nodiscard]] QRectF trackIn(const QRectF& row, const Columns& columns) const;
    [[nodiscard]] QRectF pieceIn(const QRectF& track, const LedgerRow& row, std::size_t piece) const;
    void drawRow(QPainter& p, const QRectF& at, const LedgerRow& row, const Columns& columns) const;
    void drawBars(QPainter& p, const QRectF& track, const LedgerRow& row) const;
    void drawChance(QPainter& p, const QRectF& track, const CellChance& chance) const;
    void drawFigures(QPainter& p, const QRectF& at, const LedgerRow& row, const Columns& columns) const;
    void drawHead(QPainter& p) const;
    [[nodiscard]] QString holdsText(const LedgerRow& row) const;
    [[nodiscard]] QString rowText(const LedgerRow& row) const;

    Workspace& m_space;
    ItemId m_chosen;
    std::vector<ItemId> m_order;
    std::vector<LedgerRow> m_rows;
    std::vector<Drawn> m_drawn;
    int m_current = -1;
};

} // namespace fw
