// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/findings_panel.h"

#include "bench/findings_panel_impl.h"
#include "models/finding_index.h"
#include "models/finding_text.h"
#include "text/figures.h"

#include <QClipboard>
#include <QDate>
#include <QGuiApplication>
#include <QKeyEvent>
#include <QSettings>

#include <algorithm>

namespace fw {

namespace {
const char* const kName = "you/name";
}

FindingsPanel::FindingsPanel(Workspace& space, QWidget* parent)
    : QWidget(parent), m_impl(std::make_unique<Impl>(*this, space)) {
    m_impl->build();
    m_impl->connectAll();
    m_impl->look();
    m_impl->follow();
}
FindingsPanel::~FindingsPanel() = default;

QListView& FindingsPanel::list() const { return *m_impl->list; }
bool FindingsPanel::proposing() const { return m_impl->proposing; }
ProposalList& FindingsPanel::proposals() const { return *m_impl->proposals; }
QString FindingsPanel::countText() const { return m_impl->count->text(); }
QString FindingsPanel::message() const {
    return m_impl->message->isHidden() ? QString() : m_impl->message->text();
}
std::optional<Finding> FindingsPanel::current() const {
    const Finding* f = m_impl->current();
    return f ? std::optional(*f) : std::nullopt;
}

const Finding* FindingsPanel::Impl::current() const {
    const QModelIndex at = list->currentIndex();
    return at.isValid() && at.row() < model->rowCount() ? &model->at(at.row()) : nullptr;
}

void FindingsPanel::Impl::say(const QString& sentence) {
    message->setText(sentence);
    message->setVisible(!sentence.isEmpty());
}

void FindingsPanel::Impl::dropGhost() {
    const bool had = proposing;
    proposing = false;
    proposals->drop();
    if (ghost || had) {
        ghost = false;
        emit owner.proposed({});
    }
}

void FindingsPanel::Impl::showGhosts(Ghosts wanted) {
    ghost = !wanted.empty();
    emit owner.proposed(std::move(wanted));
}

void FindingsPanel::Impl::takeEdit(const Edit& edit) {
    dropGhost();
    const Status done = space.document.perform(edit);
    say(done ? QString() : QString::fromStdString(done.error().sentence()));
    showCurrent();
    list->setFocus();
}

// The finding in hand stays in hand while its row comes and goes.
void FindingsPanel::Impl::follow() {
    following = true;
    const int like = cursor ? model->rowLike(*cursor) : -1;
    if (like >= 0 && list->currentIndex().row() != like)
        list->setCurrentIndex(model->index(like));
    else if (like < 0 && model->rowCount() > 0 && !space.drag.active())
        list->setCurrentIndex(model->index(0));
    following = false;
    if (const Finding* f = current(); f && (like >= 0 || !space.drag.active())) cursor = *f;
    stack->setCurrentIndex(model->rowCount() == 0 ? 1 : 0);
    showCurrent();
}

void FindingsPanel::Impl::step(int by) {
    const std::vector<Finding> open = model->openFindings();
    if (open.empty()) return;
    const int n = static_cast<int>(open.size());
    int at = -1;
    for (int i = 0; i < n; ++i)
        if (cursor && sameFinding(open[static_cast<std::size_t>(i)], *cursor)) at = i;
    // Nothing in hand yet: next is the first, previous the last. In hand but gone elsewhere counts as that.
    const int to = at < 0 ? (by > 0 ? 0 : n - 1) : (at + by + n) % n;
    // The first step goes to the current one when nobody has been there yet.
    goTo(open[static_cast<std::size_t>(to)]);
}

void FindingsPanel::Impl::goTo(const Finding& f) {
    const Finding wanted = f;
    cursor = wanted;
    ItemId subject;
    for (const ItemId id : wanted.subjects)
        if (!subject && space.document.plan().has(id)) subject = id;
    if (subject) space.selection.setOne(subject);
    follow();
    list->scrollTo(list->currentIndex());
    emit owner.goTo(wanted.where, subject);
}

void FindingsPanel::next() { m_impl->step(1); }
void FindingsPanel::previous() { m_impl->step(-1); }
void FindingsPanel::go() {
    if (const Finding* f = m_impl->current()) m_impl->goTo(*f);
}

void FindingsPanel::propose(bool on) {
    const Finding* f = m_impl->current();
    if (!on || !f || f->standing == Standing::stale) {
        m_impl->dropGhost();
    } else {
        const Finding about = *f;
        m_impl->proposing = true;
        m_impl->proposals->ask(about);
        const auto radio = remedied(m_impl->space.document.plan(), about);
        m_impl->showGhosts(radio ? Ghosts{{*radio, std::nullopt}} : Ghosts{});
    }
    m_impl->showCurrent();
}

void FindingsPanel::take() {
    const Finding* f = m_impl->current();
    const Plan& plan = m_impl->space.document.plan();
    if (const auto proposal = m_impl->proposals->current()) {
        m_impl->takeEdit(proposal->edit);
        return;
    }
    if (const auto radio = f ? remedied(plan, *f) : std::nullopt) m_impl->takeEdit(remedyEdit(plan, *radio));
}

void FindingsPanel::standBecauseAsked() {
    Impl& i = *m_impl;
    const Finding* f = i.current();
    if (!f || f->standing == Standing::stale || i.space.document.readOnly()) return;
    i.reasonFor = *f;
    const Waiver* w = f->waiver ? i.space.document.plan().waivers.find(f->waiver) : nullptr;
    i.reason->setText(w ? QString::fromStdString(w->reason) : QString());
    const QString name = QSettings().value(QString::fromLatin1(kName)).toString();
    i.who->setText(name);
    i.who->setVisible(name.trimmed().isEmpty());
    i.say({});
    i.reasonBox->show();
    i.reason->setFocus();
}

void FindingsPanel::Impl::closeReason() {
    if (!reasonFor) return;
    reasonFor.reset();
    reasonBox->hide();
    say({});
    list->setFocus();
}

void FindingsPanel::Impl::keep() {
    if (!reasonFor) return;
    const QString name = who->text().trimmed();
    if (reason->text().trimmed().isEmpty()) {
        say(FindingsPanel::tr("A finding stands only with a reason. Write why it may stay as it is."));
        reason->setFocus();
        return;
    }
    if (name.isEmpty()) {
        who->show();
        say(FindingsPanel::tr("Who says so? Write your name; it is kept for the next time."));
        who->setFocus();
        return;
    }
    QSettings().setValue(QString::fromLatin1(kName), name);
    const QDate today = QDate::currentDate();
    const auto edit = standBecause(space.document.plan(), *reasonFor, reason->text().trimmed().toStdString(),
                                   name.toStdString(), {today.year(), today.month(), today.day()});
    const Status done = edit ? space.document.perform(*edit) : Status(edit.error());
    if (!done) {
        say(QString::fromStdString(done.error().sentence()));
        return;
    }
    closeReason();
}

void FindingsPanel::reopen() {
    const Finding* f = m_impl->current();
    const Plan& plan = m_impl->space.document.plan();
    const Waiver* w = f && f->waiver ? plan.waivers.find(f->waiver) : nullptr;
    if (!w) return;
    const QString at = subjectsText(plan, *f);
    const QString text = f->standing == Standing::stale
                             ? tr("Remove reason for %1 at %2").arg(QString::fromStdString(f->rule), at)
                             : tr("Reopen %1 at %2").arg(QString::fromStdString(f->rule), at);
    const Status done = m_impl->space.document.perform(Edit{text.toStdString(), {Remove{w->id}}});
    m_impl->say(done ? QString() : QString::fromStdString(done.error().sentence()));
}

void FindingsPanel::copy() {
    if (const Finding* f = m_impl->current())
        QGuiApplication::clipboard()->setText(findingText(m_impl->space.document.plan(), *f));
}

void FindingsPanel::resizeEvent(QResizeEvent* event) {
    QWidget::resizeEvent(event);
    m_impl->cells->heightsChanged();
}

void FindingsPanel::changeEvent(QEvent* event) {
    QWidget::changeEvent(event);
    if (event->type() == QEvent::PaletteChange || event->type() == QEvent::FontChange) m_impl->look();
}

bool FindingsPanel::eventFilter(QObject* watched, QEvent* event) {
    if (event->type() != QEvent::KeyPress) return QWidget::eventFilter(watched, event);
    auto& key = static_cast<QKeyEvent&>(*event);
    const bool enter = key.key() == Qt::Key_Return || key.key() == Qt::Key_Enter;
    if (watched == m_impl->list) {
        if (enter) go();
        if (key.matches(QKeySequence::Copy)) copy();
        if (enter || key.matches(QKeySequence::Copy)) return true;
        if (key.key() == Qt::Key_Escape && m_impl->proposing) {
            propose(false);
            return true;
        }
    } else if (watched == m_impl->reason || watched == m_impl->who) {
        if (enter) m_impl->keep();
        if (key.key() == Qt::Key_Escape) m_impl->closeReason();
        if (enter || key.key() == Qt::Key_Escape) return true;
    }
    return QWidget::eventFilter(watched, event);
}

} // namespace fw
