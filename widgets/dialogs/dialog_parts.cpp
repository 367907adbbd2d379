// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/dialog_parts.h"

#include <QCoreApplication>
#include <QEvent>
#include <QHBoxLayout>
#include <QProgressBar>
#include <QScreen>
#include <QStyle>

namespace fw {

void openAtSize(QWidget& window, QSize wanted) {
    window.resize(wanted.boundedTo(window.screen()->availableSize() * 9 / 10));
}

QSize TallPage::minimumSizeHint() const {
    const int most = fontMetrics().height() * 8;
    if (!widget()) return {0, most};
    return {widget()->minimumSizeHint().width() + style()->pixelMetric(QStyle::PM_ScrollBarExtent), most};
}

// What is shown has become wider or narrower.
bool TallPage::eventFilter(QObject* of, QEvent* e) {
    if (of == widget() && e->type() == QEvent::LayoutRequest) updateGeometry();
    return QScrollArea::eventFilter(of, e);
}

DialogFoot dialogFoot(QDialog& dialog, std::initializer_list<QPushButton*> actions) {
    const auto words = [](const char* text) { return QCoreApplication::translate("fw::DialogFoot", text); };
    DialogFoot foot;
    foot.box = new QWidget(&dialog);
    auto* row = new QHBoxLayout(foot.box);
    row->setContentsMargins(0, 0, 0, 0);
    foot.bar = new QProgressBar(foot.box);
    foot.bar->setRange(0, 1000);
    foot.bar->setTextVisible(false);
    foot.bar->setAccessibleName(words(QT_TRANSLATE_NOOP("fw::DialogFoot", "Progress")));
    foot.stop = plainButton(words(QT_TRANSLATE_NOOP("fw::DialogFoot", "S&top")), foot.box);
    auto* close = plainButton(words(QT_TRANSLATE_NOOP("fw::DialogFoot", "C&lose")), foot.box);
    row->addWidget(foot.bar, 1);
    row->addWidget(foot.stop);
    row->addStretch(1);
    for (QPushButton* action : actions) row->addWidget(action);
    row->addWidget(close);
    QObject::connect(close, &QPushButton::clicked, &dialog, &QDialog::close);
    return foot;
}

} // namespace fw
