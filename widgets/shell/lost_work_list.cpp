// SPDX-License-Identifier: GPL-3.0-or-later
#include "shell/lost_work_list.h"

#include "theme/window_palette.h"

#include <QDateTime>
#include <QHBoxLayout>
#include <QLabel>
#include <QLocale>
#include <QPushButton>
#include <QVBoxLayout>

namespace fw {

namespace {

QLabel* line(const QString& text, QWidget* parent) {
    auto* l = new QLabel(text, parent);
    l->setTextFormat(Qt::PlainText); // names come out of a file
    l->setWordWrap(true);
    l->setTextInteractionFlags(Qt::TextSelectableByMouse);
    return l;
}

QString timeOf(const std::string& iso) {
    const QDateTime when = QDateTime::fromString(QString::fromStdString(iso), Qt::ISODate).toLocalTime();
    return when.isValid() ? QLocale().toString(when, QLocale::ShortFormat) : QString();
}

QString whoAndWhen(const LostWork& work) {
    const QString last = timeOf(work.lastEdit.empty() ? work.since : work.lastEdit);
    const QString who = QString::fromStdString(work.user);
    const QString where = work.planFile.empty() ? LostWorkList::tr("a plan without a file of its own")
                                                : QString::fromStdString(work.planFile.string());
    QString text = LostWorkList::tr("Last worked on %1 by %2, in %3.")
                       .arg(last.isEmpty() ? LostWorkList::tr("an unknown day") : last,
                            who.isEmpty() ? LostWorkList::tr("somebody") : who, where);
    if (work.declinedAt)
        text += QLatin1Char(' ') + LostWorkList::tr("Put off on %1; kept for %2 days from then.")
                                       .arg(timeOf(*work.declinedAt), QLocale().toString(kDeclinedDays));
    return text;
}

} // namespace

QString titleOf(const LostWork& work) {
    const QString name = work.planName.empty() ? LostWorkList::tr("A plan without a name")
                                               : QString::fromStdString(work.planName);
    if (work.edits == 0) return LostWorkList::tr("%1: work that was not saved").arg(name);
    if (work.edits == 1) return LostWorkList::tr("%1: one edit that was not saved").arg(name);
    return LostWorkList::tr("%1: %2 edits that were not saved")
        .arg(name, QLocale().toString(qlonglong{work.edits}));
}

QString lastSteps(const LostWork& work, int most) {
    QStringList steps;
    for (auto it = work.texts.rbegin(); it != work.texts.rend() && steps.size() < most; ++it)
        steps << QString::fromStdString(*it);
    QString text = steps.join(QStringLiteral("; "));
    if (!text.isEmpty() && work.edits > steps.size()) text += QStringLiteral("; \u2026");
    return text;
}

LostWorkList::LostWorkList(QWidget* parent) : QWidget(parent), m_column(new QVBoxLayout(this)) {
    m_column->setContentsMargins(0, 0, 0, 0);
    m_column->setSpacing(12);
}

void LostWorkList::setWork(const std::vector<LostWork>& work, int most) {
    while (QLayoutItem* item = m_column->takeAt(0)) {
        delete item->widget();
        delete item;
    }
    m_count = static_cast<int>(work.size());
    for (int k = 0; k < std::min(m_count, most); ++k) addPiece(work[static_cast<std::size_t>(k)]);
    if (m_count > most)
        m_column->addWidget(
            line(tr("%1 more under Plan, Lost work.").arg(QLocale().toString(m_count - most)), this));
}

void LostWorkList::addPiece(const LostWork& work) {
    auto* piece = new QWidget(this);
    auto* column = new QVBoxLayout(piece);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(4);
    QLabel* title = line(titleOf(work), piece);
    QFont bold = title->font();
    bold.setBold(true);
    title->setFont(bold);
    column->addWidget(title);
    column->addWidget(line(whoAndWhen(work), piece));
    if (const QString steps = lastSteps(work, 3); !steps.isEmpty()) {
        QLabel* last = line(steps, piece);
        last->setToolTip(lastSteps(work, 20).replace(QStringLiteral("; "), QStringLiteral("\n")));
        column->addWidget(last);
    }
    if (!work.sentence.empty()) {
        QLabel* matter = line(QString::fromStdString(work.sentence), piece);
        QPalette p;
        p.setColor(QPalette::WindowText, windowPalette(palette()).accentText);
        matter->setPalette(p);
        column->addWidget(matter);
    }
    auto* row = new QHBoxLayout;
    row->setSpacing(8);
    const auto button = [&](const QString& text, const char* name, auto signal) {
        auto* b = new QPushButton(text, piece);
        b->setObjectName(QString::fromLatin1(name));
        b->setAccessibleDescription(title->text());
        row->addWidget(b);
        connect(b, &QPushButton::clicked, this, [this, work, signal] { emit(this->*signal)(work); });
        return b;
    };
    using State = LostWork::State;
    const bool returns = work.state == State::ready || work.state == State::fileChanged;
    if (returns)
        button(work.state == State::ready ? tr("Bring it back") : tr("Bring it back as a copy"), "bringBack",
               &LostWorkList::bringBackWanted);
    if (!work.declinedAt) button(tr("Not now"), "notNow", &LostWorkList::notNowWanted);
    button(tr("Throw away \u2026"), "throwAway", &LostWorkList::forgetWanted);
    row->addStretch(1);
    column->addLayout(row);
    m_column->addWidget(piece);
}

} // namespace fw
