// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/remark_list.h"

#include "bench/panel_looks.h"
#include "dialogs/dialog_parts.h"
#include "text/figures.h"
#include "theme/window_palette.h"

#include <QApplication>
#include <QEvent>
#include <QHBoxLayout>
#include <QVBoxLayout>

#include <algorithm>

namespace fw {

namespace {

QString wordFor(IntakeRemark::Weight weight) {
    switch (weight) {
    case IntakeRemark::Weight::question:
        return RemarkList::tr("Question");
    case IntakeRemark::Weight::look:
        return RemarkList::tr("Look at this");
    case IntakeRemark::Weight::note:
        break;
    }
    return RemarkList::tr("Note");
}

} // namespace

RemarkList::RemarkList(QWidget* parent) : QWidget(parent), m_rows(new QVBoxLayout(this)) {
    m_rows->setContentsMargins(0, 0, 0, 0);
    hide();
}

void RemarkList::setRemarks(std::vector<IntakeRemark> remarks) {
    m_remarks = std::move(remarks);
    std::stable_sort(m_remarks.begin(), m_remarks.end(),
                     [](const IntakeRemark& a, const IntakeRemark& b) { return a.weight > b.weight; });
    rebuild();
}

void RemarkList::rebuild() {
    while (QLayoutItem* item = m_rows->takeAt(0)) {
        if (QWidget* w = item->widget()) w->deleteLater();
        delete item;
    }
    setVisible(!m_remarks.empty());
    for (const IntakeRemark& remark : m_remarks) add(remark);
}

void RemarkList::add(const IntakeRemark& remark) {
    auto* row = new QWidget(this);
    auto* line = new QHBoxLayout(row);
    line->setContentsMargins(0, 0, 0, 0);
    auto* word = new QLabel(wordFor(remark.weight), row);
    word->setMinimumWidth(fontMetrics().averageCharWidth() * 14);
    word->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    if (remark.weight == IntakeRemark::Weight::question) {
        QFont bold = word->font();
        bold.setBold(true);
        word->setFont(bold);
        QPalette p;
        p.setColor(QPalette::WindowText, windowPalette(QApplication::palette()).accentText);
        word->setPalette(p);
    } else {
        lookSoft(*word);
    }
    auto* text = sentenceLabel(row);
    text->setText(coreText(remark.text));
    line->addWidget(word);
    line->addWidget(text, 1);
    for (const IntakeChoice& choice : remark.choices) {
        auto* b = plainButton(coreText(choice.words), row);
        b->setObjectName(QStringLiteral("choice-") + QString::fromStdString(choice.words));
        connect(b, &QPushButton::clicked, this,
                [this, choice] { emit asked([choice](IntakeRequest& r) { choose(r, choice); }); });
        line->addWidget(b, 0, Qt::AlignTop);
    }
    m_rows->addWidget(row);
}

void RemarkList::changeEvent(QEvent* e) {
    QWidget::changeEvent(e);
    if (e->type() == QEvent::PaletteChange || e->type() == QEvent::ApplicationPaletteChange) rebuild();
}

} // namespace fw
