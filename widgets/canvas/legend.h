// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/ground_tint.h"
#include "canvas/sign_sheet.h"

#include <QWidget>

namespace fw {

/// What the colours of the ground mean: steps of an amount with figures and unit, serving areas with the
/// names of their sectors, fringes with their cells. Reads the picture in view and follows it.
class TintLegend : public QWidget {
    Q_OBJECT
public:
    explicit TintLegend(GroundTintSource& source, QWidget* parent = nullptr);
    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override { return sizeHint(); }
    /// One row in words: a step, the sectors of a colour, a fringe, or why there is nothing.
    struct Row {
        enum class Mark { none, color, hatch } mark = Mark::none;
        int color = 0; ///< step, or class colour
        QString text;
        QString whole; ///< where text had to be cut: all of it
    };
    /// The steps of an amount stand in one bar of their own: rows() are what comes below it.
    [[nodiscard]] const std::vector<Row>& rows() const { return m_rows; }
    [[nodiscard]] bool hasBar() const { return m_bar; }

protected:
    void paintEvent(QPaintEvent*) override;
    bool event(QEvent*) override;

private:
    void read();
    void readClasses(const TintPicture& p);
    void readFringes(const TintPicture& p);
    void readMeaning(const TintPicture& p);
    void addText(const QString& text);
    void paintBar(QPainter& painter, const WindowPalette& colors) const;
    [[nodiscard]] int rowHeight() const;
    [[nodiscard]] int barHeight() const;
    [[nodiscard]] QString named(ItemId id) const;
    [[nodiscard]] QString cutList(const QStringList& names) const;
    GroundTintSource& m_source;
    std::vector<Row> m_rows;
    bool m_bar = false;
};

/// The signs of the map with their names.
class SignLegend : public QWidget {
    Q_OBJECT
public:
    explicit SignLegend(QWidget* parent = nullptr);
    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override { return sizeHint(); }

protected:
    void paintEvent(QPaintEvent*) override;
    void changeEvent(QEvent*) override;

private:
    enum class Sign { macro, chosen, candidate, bare, note, warn, block, notAsked, asked, agreed, refused };
    void draw(QPainter& painter, QPointF at, Sign sign);
    [[nodiscard]] QSize cell() const;
    QList<std::pair<Sign, QString>> m_signs;
    SignSheet m_sheet;
};

} // namespace fw
