// SPDX-License-Identifier: GPL-3.0-or-later
// Small parts that windows of their own share.
#pragma once

#include <QDialog>
#include <QLabel>
#include <QPushButton>
#include <QScrollArea>

#include <initializer_list>

class QProgressBar;

namespace fw {

/// A sentence that wraps, never read as markup, and can be copied.
inline QLabel* sentenceLabel(QWidget* parent) {
    auto* label = new QLabel(parent);
    label->setWordWrap(true);
    label->setTextFormat(Qt::PlainText);
    label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    return label;
}

/// Opens a window as large as `wanted` is, and never larger than nine tenths of its screen.
void openAtSize(QWidget& window, QSize wanted);

/// A button that Enter does not press from afar.
inline QPushButton* plainButton(const QString& text, QWidget* parent) {
    auto* b = new QPushButton(text, parent);
    b->setAutoDefault(false);
    return b;
}

/// A sentence that says what came of something.
inline QLabel* verdictLabel(QWidget* parent) {
    QLabel* label = sentenceLabel(parent);
    QFont bold = label->font();
    bold.setBold(true);
    label->setFont(bold);
    return label;
}

/// Scrolls what is taller than it, and is never narrower than what it shows.
class TallPage : public QScrollArea {
public:
    explicit TallPage(QWidget* parent) : QScrollArea(parent) {
        setFrameShape(QFrame::NoFrame);
        setWidgetResizable(true);
        setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    }
    [[nodiscard]] QSize minimumSizeHint() const override;

protected:
    bool eventFilter(QObject* of, QEvent* e) override;
};

/// The foot of a window in which something runs: progress and stop first, then `actions`, Close last.
struct DialogFoot {
    QWidget* box = nullptr;
    QProgressBar* bar = nullptr; ///< 0 to 1000
    QPushButton* stop = nullptr;
};
DialogFoot dialogFoot(QDialog& dialog, std::initializer_list<QPushButton*> actions);

} // namespace fw
