// SPDX-License-Identifier: GPL-3.0-or-later
// How the findings panel is put together and what it shows of the current finding.
#include "bench/findings_panel_impl.h"
#include "bench/panel_looks.h"
#include "models/finding_index.h"
#include "models/finding_text.h"
#include "review/finding_working.h"
#include "review/rule.h"
#include "text/figures.h"
#include "theme/window_palette.h"

#include <QGridLayout>
#include <QHBoxLayout>
#include <QVBoxLayout>

#include <algorithm>

namespace fw {

QLayout* FindingsPanel::Impl::makeHead() {
    title = new QLabel(&owner);
    title->setTextFormat(Qt::PlainText);
    count = new QLabel(&owner);
    const auto arrow = [this](Qt::ArrowType type, const QString& name) {
        auto* b = new QToolButton(&owner);
        b->setArrowType(type);
        b->setAutoRaise(true);
        b->setAccessibleName(name);
        b->setToolTip(name);
        return b;
    };
    back = arrow(Qt::UpArrow, FindingsPanel::tr("Previous finding"));
    forth = arrow(Qt::DownArrow, FindingsPanel::tr("Next finding"));
    auto* row = new QHBoxLayout;
    row->setContentsMargins(8, 4, 4, 4);
    row->addWidget(title, 1);
    row->addWidget(count);
    row->addWidget(back);
    row->addWidget(forth);
    return row;
}

QLayout* FindingsPanel::Impl::makeActions() {
    const auto button = [this](const QString& text, const QString& tip) {
        auto* b = new QPushButton(text, &owner);
        b->setToolTip(tip);
        b->setAutoDefault(false);
        return b;
    };
    propose = button(FindingsPanel::tr("Propose"), {});
    propose->setCheckable(true);
    take = button(FindingsPanel::tr("Take"), {});
    stands =
        button(FindingsPanel::tr("Stands, because …"), FindingsPanel::tr("Keeps the finding with a reason."));
    reopen = button(FindingsPanel::tr("Reopen"), FindingsPanel::tr("Takes the reason away."));
    details = new QToolButton(&owner);
    details->setText(FindingsPanel::tr("Details"));
    details->setToolButtonStyle(Qt::ToolButtonTextBesideIcon);
    details->setArrowType(Qt::RightArrow);
    details->setCheckable(true);
    details->setAutoRaise(true);
    auto* row = new QHBoxLayout;
    row->setContentsMargins(8, 4, 8, 4);
    for (QWidget* w : std::initializer_list<QWidget*>{propose, take, stands, reopen}) row->addWidget(w);
    row->addStretch(1);
    row->addWidget(details);
    return row;
}

QWidget* FindingsPanel::Impl::makeReason() {
    reasonBox = new QWidget(&owner);
    reason = new QLineEdit(reasonBox);
    reason->setObjectName(QStringLiteral("reason"));
    reason->setPlaceholderText(FindingsPanel::tr("Stands, because …"));
    reason->setAccessibleName(FindingsPanel::tr("Reason why the finding stands"));
    who = new QLineEdit(reasonBox);
    who->setObjectName(QStringLiteral("who"));
    who->setPlaceholderText(FindingsPanel::tr("Your name"));
    who->setAccessibleName(FindingsPanel::tr("Your name"));
    auto* ok = new QPushButton(FindingsPanel::tr("Keep"), reasonBox);
    auto* leave = new QPushButton(FindingsPanel::tr("Leave"), reasonBox);
    for (QPushButton* b : {ok, leave}) b->setAutoDefault(false);
    auto* row = new QGridLayout(reasonBox); // the name is asked for once, so it has its own line
    row->setContentsMargins(8, 0, 8, 4);
    row->addWidget(reason, 0, 0);
    row->addWidget(ok, 0, 1);
    row->addWidget(leave, 0, 2);
    row->addWidget(who, 1, 0, 1, 3);
    row->setColumnStretch(0, 1);
    QWidget::setTabOrder(reason, who);
    QWidget::setTabOrder(who, ok);
    QWidget::setTabOrder(ok, leave);
    QObject::connect(ok, &QPushButton::clicked, &owner, [this] { keep(); });
    QObject::connect(leave, &QPushButton::clicked, &owner, [this] { closeReason(); });
    reason->installEventFilter(&owner);
    who->installEventFilter(&owner);
    reasonBox->hide();
    return reasonBox;
}

QWidget* FindingsPanel::Impl::makeDetails() {
    detailBox = new QWidget(&owner);
    detailText = new QLabel(detailBox);
    detailText->setWordWrap(true);
    detailText->setTextFormat(Qt::PlainText);
    detailText->setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
    working = new QToolButton(detailBox);
    working->setText(FindingsPanel::tr("Working …"));
    working->setToolTip(FindingsPanel::tr("Opens the steps to what was measured."));
    working->setAutoRaise(true);
    auto* row = new QHBoxLayout(detailBox);
    row->setContentsMargins(8, 0, 8, 4);
    row->addWidget(detailText, 1);
    row->addWidget(working, 0, Qt::AlignTop);
    detailBox->hide();
    return detailBox;
}

void FindingsPanel::Impl::build() {
    model = new FindingsModel(space, &owner);
    list = new QListView(&owner);
    list->setModel(model);
    cells = new FindingCells(space, list);
    list->setItemDelegate(cells);
    list->setFrameShape(QFrame::NoFrame);
    list->setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
    list->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    list->setEditTriggers(QAbstractItemView::NoEditTriggers);
    list->setAccessibleName(FindingsPanel::tr("Findings"));
    list->installEventFilter(&owner);
    empty = new QLabel(&owner);
    empty->setAlignment(Qt::AlignCenter);
    empty->setWordWrap(true);
    empty->setMargin(12);
    message = new QLabel(&owner);
    message->setWordWrap(true);
    message->setTextFormat(Qt::PlainText);
    message->setContentsMargins(8, 0, 8, 4);
    message->hide();
    stack = new QStackedLayout;
    stack->addWidget(list);
    stack->addWidget(empty);
    auto* all = new QVBoxLayout(&owner);
    all->setContentsMargins(0, 0, 0, 0);
    all->setSpacing(0);
    all->addLayout(makeHead());
    all->addLayout(stack, 1);
    all->addWidget(makeDetails());
    proposals = new ProposalList(space, &owner);
    all->addWidget(proposals);
    all->addWidget(makeReason());
    all->addWidget(message);
    all->addLayout(makeActions());
    owner.setFocusProxy(list);
}

void FindingsPanel::Impl::connectAll() {
    FindingsPanel* o = &owner;
    // A row that goes must not take the finding in hand along.
    QObject::connect(model, &FindingsModel::following, o, [this] { following = true; });
    QObject::connect(model, &FindingsModel::followed, o, [this] { follow(); });
    QObject::connect(list->selectionModel(), &QItemSelectionModel::currentChanged, o, [this] {
        cells->heightsChanged(); // the current one is taller
        if (following) return;
        if (const Finding* f = current()) cursor = *f;
        dropGhost();
        // Nobody else asks for remedies while nothing is chosen.
        if (const Finding* f = current(); f && space.selection.empty() && !f->subjects.empty())
            space.live.setFocus(f->subjects.front());
        showCurrent();
    });
    QObject::connect(list, &QListView::doubleClicked, o, &FindingsPanel::go);
    QObject::connect(back, &QToolButton::clicked, o, &FindingsPanel::previous);
    QObject::connect(forth, &QToolButton::clicked, o, &FindingsPanel::next);
    QObject::connect(propose, &QPushButton::clicked, o, &FindingsPanel::propose);
    QObject::connect(take, &QPushButton::clicked, o, &FindingsPanel::take);
    QObject::connect(stands, &QPushButton::clicked, o, &FindingsPanel::standBecauseAsked);
    QObject::connect(reopen, &QPushButton::clicked, o, &FindingsPanel::reopen);
    QObject::connect(proposals, &ProposalList::currentChanged, o, [this] {
        if (proposing && proposals->current()) showGhosts(proposals->ghosts());
        showCurrent();
    });
    QObject::connect(proposals, &ProposalList::takeWanted, o, &FindingsPanel::take);
    QObject::connect(proposals, &ProposalList::closeWanted, o, [this] {
        owner.propose(false);
        list->setFocus();
    });
    QObject::connect(working, &QToolButton::clicked, o, [this] {
        if (const auto w = proposals->working()) {
            emit owner.workingWanted(*w);
            return;
        }
        if (const Finding* f = current(); f && space.live.study())
            emit owner.workingWanted(workingOf(*space.live.study(), *f));
    });
    QObject::connect(details, &QToolButton::toggled, o, [this](bool on) {
        details->setArrowType(on ? Qt::DownArrow : Qt::RightArrow);
        showDetails(current());
    });
    QObject::connect(&space.drag, &LiveDrag::moved, o, [this] { dropGhost(); });
    QObject::connect(&space.drag, &LiveDrag::ended, o, [this] {
        cells->heightsChanged();
        follow();
    });
    QObject::connect(&space.document, &PlanDocument::planChanged, o, [this] { dropGhost(); });
    QObject::connect(&space.document, &PlanDocument::planReplaced, o, [this] {
        cursor.reset();
        closeReason();
        dropGhost();
    });
}

void FindingsPanel::Impl::showCurrent() {
    const Finding* f = current();
    int n = 0, at = 0; // counted, not copied: this runs in every frame of a drag
    for (const Finding& other : space.live.review().findings) {
        if (!isOpen(other)) continue;
        ++n;
        if (f && sameFinding(other, *f)) at = n;
    }
    const QString counted = n == 0   ? FindingsPanel::tr("none open")
                            : at > 0 ? FindingsPanel::tr("%1 of %2 open").arg(at).arg(n)
                                     : FindingsPanel::tr("%1 open").arg(n);
    if (count->text() != counted) count->setText(counted);
    const auto& chosen = space.selection.items();
    const QString head = chosen.empty() ? FindingsPanel::tr("All findings")
                         : chosen.size() == 1
                             ? FindingsPanel::tr("Findings about %1")
                                   .arg(QString::fromStdString(space.document.plan().label(chosen[0])))
                             : FindingsPanel::tr("Findings about %1 items").arg(chosen.size());
    if (title->toolTip() != head) title->setToolTip(head);
    const QString cut = title->fontMetrics().elidedText(head, Qt::ElideRight, owner.width() / 2);
    if (title->text() != cut) title->setText(cut);
    back->setEnabled(n > 0);
    forth->setEnabled(n > 0);
    if (!f)
        empty->setText(!space.document.isOpen() ? FindingsPanel::tr("No plan is open.")
                       : !space.live.study()
                           ? FindingsPanel::tr("The review comes once the plan is computed.")
                       : space.selection.empty() ? FindingsPanel::tr("The review found nothing.")
                                                 : FindingsPanel::tr("Nothing stands against it."));
    showRemedy(f);
    showDetails(f);
    // A line that is open goes on being about its finding, but not about another one.
    if (reasonFor && (!f || !sameFinding(*f, *reasonFor)) && !space.drag.active()) closeReason();
}

void FindingsPanel::Impl::showRemedy(const Finding* f) {
    const bool writable = space.document.isOpen() && !space.document.readOnly();
    const bool still = !space.drag.active();
    const bool turns = f && still && remedied(space.document.plan(), *f).has_value();
    const bool openHere = f && still && f->standing != Standing::stale && space.live.study();
    propose->setEnabled(openHere);
    take->setEnabled((turns || proposals->current()) && still && writable);
    if (propose->isChecked() != proposing) propose->setChecked(proposing);
    const QString why = !f          ? QString()
                        : f->remedy ? coreText(f->remedy->text)
                        : f->standing == Standing::stands || f->standing == Standing::stale
                            ? FindingsPanel::tr("It is kept as it is.")
                        : space.live.stale() || !still
                            ? FindingsPanel::tr("Remedies come when the plan is computed.")
                            : FindingsPanel::tr("No remedy is known yet.");
    propose->setToolTip(why + QLatin1Char('\n') + FindingsPanel::tr("Looks for all that clears it."));
    take->setToolTip(why);
    const bool stale = f && f->standing == Standing::stale;
    stands->setEnabled(f && still && writable && !stale);
    stands->setVisible(!stale);
    // One in the other's place, so that the bench does not grow: what stands has nothing to take, unless
    // asked.
    const bool kept = f && f->waiver && !proposing;
    take->setVisible(!kept);
    reopen->setVisible(kept);
    reopen->setEnabled(writable && still);
    reopen->setText(stale ? FindingsPanel::tr("Remove reason") : FindingsPanel::tr("Reopen"));
}

void FindingsPanel::Impl::showDetails(const Finding* f) {
    detailBox->setVisible(details->isChecked() && f);
    if (!details->isChecked() || !f) return;
    QStringList lines;
    working->setEnabled(f->standing != Standing::stale);
    if (f->remedy) lines << FindingsPanel::tr("To clear it: %1").arg(coreText(f->remedy->text));
    for (const Rule& r : rules())
        if (r.id == f->rule) lines << coreText(r.why);
    if (!f->source.empty()) lines << FindingsPanel::tr("Source of the limit: %1").arg(coreText(f->source));
    const QString text = lines.join(QLatin1Char('\n'));
    if (detailText->text() != text) detailText->setText(text);
}

void FindingsPanel::Impl::look() {
    lookLikePanel(*list);
    for (QLabel* soft : {count, empty, detailText}) lookSoft(*soft);
    lookRefused(*message);
    QFont bold = owner.font();
    bold.setBold(true);
    if (title->font() != bold) title->setFont(bold);
    cells->heightsChanged();
}

} // namespace fw
