// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/proposal_list.h"

#include "bench/panel_looks.h"
#include "text/figures.h"

#include <QKeyEvent>
#include <QLabel>
#include <QListWidget>
#include <QPainter>
#include <QPointer>
#include <QStyledItemDelegate>
#include <QVBoxLayout>

#include <algorithm>

namespace fw {

namespace {

const QString kJob = QStringLiteral("proposals");
constexpr int kMostRows = 3; // seen at once

QString warningsText(int more) {
    if (more == 0) return {};
    if (more == 1) return ProposalList::tr(", 1 warning more");
    if (more == -1) return ProposalList::tr(", 1 warning fewer");
    return more > 0 ? ProposalList::tr(", %1 warnings more").arg(more)
                    : ProposalList::tr(", %1 warnings fewer").arg(-more);
}

QString saysText(const Proposal& p) {
    //: %1 fit that is left, %2 fit now
    QString out =
        ProposalList::tr("fit %1, before %2").arg(figure(p.fitKept, {}, 0), figure(p.fitBefore, {}, 0)) +
        warningsText(p.warnings);
    if (!p.consent.empty()) out += QStringLiteral(". ") + coreText(p.consent);
    return out;
}

// What it is, and under it, softer, what it costs.
class ProposalCells : public QStyledItemDelegate {
public:
    using QStyledItemDelegate::QStyledItemDelegate;
    static constexpr int kSays = Qt::UserRole;

    void paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& at) const override {
        QStyleOptionViewItem o = option;
        initStyleOption(&o, at);
        const QString title = o.text;
        o.text.clear();
        const QWidget* view = option.widget;
        view->style()->drawControl(QStyle::CE_ItemViewItem, &o, painter, view);
        const QPalette::ColorRole role =
            option.state & QStyle::State_Selected ? QPalette::HighlightedText : QPalette::Text;
        painter->save();
        painter->setPen(option.palette.color(role));
        const QRect box = inner(option.rect);
        QRect first;
        painter->drawText(box, Qt::TextWordWrap, title, &first);
        QColor soft = option.palette.color(role);
        soft.setAlphaF(0.72F);
        painter->setPen(soft);
        painter->drawText(box.adjusted(0, first.height(), 0, 0), Qt::TextWordWrap, at.data(kSays).toString());
        painter->restore();
    }
    [[nodiscard]] QSize sizeHint(const QStyleOptionViewItem& option, const QModelIndex& at) const override {
        const auto* view = static_cast<const QListWidget*>(option.widget);
        const QRect box = inner(QRect(0, 0, view->viewport()->width(), 10000));
        const auto high = [&](const QString& text) {
            return option.fontMetrics.boundingRect(box, Qt::TextWordWrap, text).height();
        };
        return {box.width(), high(at.data().toString()) + high(at.data(kSays).toString()) + 2 * kAround};
    }

private:
    static constexpr int kAround = 4;
    static QRect inner(const QRect& r) { return r.adjusted(8, kAround, -8, -kAround); }
};

} // namespace

ProposalList::ProposalList(Workspace& space, QWidget* parent)
    : QWidget(parent), m_space(space), m_state(new QLabel(this)), m_list(new QListWidget(this)) {
    m_state->setWordWrap(true);
    m_state->setTextFormat(Qt::PlainText);
    m_state->setContentsMargins(8, 4, 8, 2);
    m_list->setAccessibleName(tr("Proposals"));
    m_list->setFrameShape(QFrame::NoFrame);
    m_list->setItemDelegate(new ProposalCells(m_list));
    m_list->setResizeMode(QListView::Adjust);
    m_list->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    m_list->setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
    m_list->installEventFilter(this);
    auto* all = new QVBoxLayout(this);
    all->setContentsMargins(0, 0, 0, 0);
    all->setSpacing(0);
    all->addWidget(m_state);
    all->addWidget(m_list);
    connect(m_list, &QListWidget::currentRowChanged, this, [this] { emit currentChanged(); });
    connect(m_list, &QListWidget::itemDoubleClicked, this, &ProposalList::takeWanted);
    lookLikePanel(*m_list);
    lookSoft(*m_state);
    hide();
}

ProposalList::~ProposalList() { m_space.jobs.cancel(kJob); }

void ProposalList::ask(const Finding& finding) {
    const auto study = m_space.live.study();
    drop();
    m_finding = finding;
    show();
    if (!study || m_space.live.stale()) {
        m_state->setText(tr("Proposals come when the plan is computed."));
        fitHeight();
        return;
    }
    m_searching = true;
    m_state->setText(tr("Looking for what clears it, and reviewing each over the whole plan …"));
    fitHeight();
    auto made = std::make_shared<std::optional<Result<Proposals>>>();
    m_space.jobs.start(
        kJob, tr("Looking for proposals"),
        [made, study, review = m_space.live.review(), finding](const Job& job) {
            made->emplace(proposalsFor(study, review, finding, {}, job));
        },
        [this, made, search = ++m_search, self = QPointer<ProposalList>(this)](Outcome outcome) {
            if (!self || !m_searching || search != m_search) return;
            if (outcome == Outcome::done && *made) {
                found(std::move(**made));
                return;
            }
            m_searching = false;
            m_state->setText(tr("The search was stopped."));
        });
}

void ProposalList::found(Result<Proposals> proposals) {
    m_searching = false;
    if (!proposals) {
        m_state->setText(QString::fromStdString(proposals.error().sentence()));
        return;
    }
    m_proposals = std::move(proposals->list);
    m_state->setText(m_proposals.empty() ? coreText(proposals->nothing)
                                         : tr("Best fit first. Enter takes one, Esc leaves them."));
    const bool focus = m_list->hasFocus();
    for (const Proposal& p : m_proposals) {
        auto* row = new QListWidgetItem(coreText(p.text), m_list);
        row->setData(ProposalCells::kSays, saysText(p));
        row->setData(Qt::AccessibleTextRole, row->text() + QStringLiteral("; ") + saysText(p));
    }
    if (!m_proposals.empty()) m_list->setCurrentRow(0);
    if (focus) m_list->setFocus();
    fitHeight();
    emit currentChanged();
}

void ProposalList::drop() {
    const bool had = m_searching || m_finding;
    m_searching = false;
    m_finding.reset();
    m_proposals.clear();
    if (had) m_space.jobs.cancel(kJob);
    const QSignalBlocker quiet(m_list);
    m_list->clear();
    hide();
}

void ProposalList::fitHeight() {
    m_list->setVisible(!m_proposals.empty());
    int height = 0;
    for (int r = 0; r < std::min(kMostRows, m_list->count()); ++r) height += m_list->sizeHintForRow(r);
    m_list->setFixedHeight(height + 2);
}

std::optional<Proposal> ProposalList::current() const {
    const int at = m_list->currentRow();
    if (at < 0 || at >= static_cast<int>(m_proposals.size())) return std::nullopt;
    return m_proposals[static_cast<std::size_t>(at)];
}

Ghosts ProposalList::ghosts() const {
    Ghosts out;
    const auto p = current();
    if (!p) return out;
    Plan after = m_space.document.plan();
    if (!apply(after, p->edit)) return out;
    for (const Proposal::Ghost& g : p->ghosts) {
        const Radio* now = after.radios.find(g.radio);
        const Mount* mount = now ? after.mounts.find(now->mount) : nullptr;
        if (!mount) continue;
        const Mount* was = m_space.document.plan().mounts.find(mount->id);
        Ghost ghost{*now, std::nullopt};
        if (!was || was->at != mount->at) ghost.mount = *mount;
        out.push_back(std::move(ghost));
    }
    return out;
}

std::optional<Working> ProposalList::working() const {
    const auto p = current();
    return p && m_finding ? std::optional(workingOf(*p, *m_finding)) : std::nullopt;
}

QString ProposalList::stateText() const { return m_state->text(); }

bool ProposalList::eventFilter(QObject* watched, QEvent* event) {
    if (watched != m_list || event->type() != QEvent::KeyPress) return QWidget::eventFilter(watched, event);
    const int key = static_cast<QKeyEvent&>(*event).key();
    if (key == Qt::Key_Return || key == Qt::Key_Enter) {
        emit takeWanted();
        return true;
    }
    if (key == Qt::Key_Escape) {
        emit closeWanted();
        return true;
    }
    return false;
}

void ProposalList::changeEvent(QEvent* event) {
    QWidget::changeEvent(event);
    if (event->type() == QEvent::PaletteChange || event->type() == QEvent::FontChange) {
        lookLikePanel(*m_list);
        lookSoft(*m_state);
        fitHeight();
    }
}

} // namespace fw
