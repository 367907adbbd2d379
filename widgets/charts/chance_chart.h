// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "document/workspace.h"

#include <QWidget>

#include <vector>

namespace fw {

/// How sure one cell's verdict is and what it hangs on: how often it reaches its target, and a bar for each
/// input from one to nine of ten draws with that input alone drawn, the widest on top; over them the same
/// with all inputs drawn. Marks: target, and use after by the ledger. It shows the chosen cell, else the
/// congested one whose target is least sure. Space or a double click opens the working.
class ChanceChart : public QWidget {
    Q_OBJECT
public:
    explicit ChanceChart(Workspace& space, QWidget* parent = nullptr);

    struct Bar {
        QString name;
        Quantiles q;
        bool all = false; ///< every input drawn
    };
    [[nodiscard]] ItemId cell() const { return m_cell; }
    [[nodiscard]] const std::vector<Bar>& bars() const { return m_bars; }
    /// In one sentence; what is missing, where there is nothing.
    [[nodiscard]] QString headText() const { return m_head; }
    /// "shadowing: 55.1 to 62.0 %".
    [[nodiscard]] QString barText(std::size_t bar) const;
    [[nodiscard]] QRectF barRect(std::size_t bar) const;

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

signals:
    void workingWanted(fw::Working working);

protected:
    void paintEvent(QPaintEvent*) override;
    void showEvent(QShowEvent*) override;
    void hideEvent(QHideEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void mouseDoubleClickEvent(QMouseEvent*) override;
    void focusInEvent(QFocusEvent*) override;
    void focusOutEvent(QFocusEvent*) override;
    bool event(QEvent*) override;

private:
    void refresh();
    void openWorking();
    [[nodiscard]] ItemId subject() const;
    [[nodiscard]] int lineHeight() const;
    [[nodiscard]] double nameWidth() const;
    [[nodiscard]] QRectF plot() const;
    [[nodiscard]] double xOf(double use) const;
    void drawMarks(QPainter& p) const;
    void drawBar(QPainter& p, std::size_t bar) const;

    Workspace& m_space;
    ItemId m_cell;
    QString m_head;
    std::vector<Bar> m_bars;
    double m_target = 0, m_ledger = 0;
    double m_from = 0, m_to = 1; ///< use at the plot's ends
    bool m_congested = false;
};

} // namespace fw
