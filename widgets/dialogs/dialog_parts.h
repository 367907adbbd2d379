// SPDX-License-Identifier: GPL-3.0-or-later
// Small parts that windows of their own share.
#pragma once

#include <QLabel>
#include <QPushButton>

namespace fw {

/// A sentence that wraps, never read as markup, and can be copied.
inline QLabel* sentenceLabel(QWidget* parent) {
    auto* label = new QLabel(parent);
    label->setWordWrap(true);
    label->setTextFormat(Qt::PlainText);
    label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    return label;
}

/// A button that Enter does not press from afar.
inline QPushButton* plainButton(const QString& text, QWidget* parent) {
    auto* b = new QPushButton(text, parent);
    b->setAutoDefault(false);
    return b;
}

} // namespace fw
