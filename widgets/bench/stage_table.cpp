// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/stage_table.h"

#include "bench/panel_looks.h"
#include "bench/table_cells.h"
#include "models/natural_sort.h"
#include "models/stage_tables.h"
#include "theme/window_palette.h"

#include <QAction>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QIcon>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QMenu>
#include <QPainter>
#include <QStackedLayout>
#include <QTableView>
#include <QToolBar>
#include <QToolButton>
#include <QVBoxLayout>

#include <algorithm>

namespace fw {
namespace {

// Two chevrons, as the style has them, but in the text's colour by night too.
QIcon moreIcon(const QWidget& on) {
    constexpr int kSide = 16;
    QPixmap sheet(QSize(kSide, kSide) * on.devicePixelRatioF());
    sheet.setDevicePixelRatio(on.devicePixelRatioF());
    sheet.fill(Qt::transparent);
    QPainter p(&sheet);
    p.setRenderHint(QPainter::Antialiasing);
    p.setPen(QPen(windowPalette(on.palette()).ink, 1.5));
    const double away = on.layoutDirection() == Qt::RightToLeft ? -1 : 1;
    for (const double x : {-3.5, 1.0})
        p.drawPolyline(QPolygonF{{8 + away * x, 4}, {8 + away * (x + 3.5), 8}, {8 + away * x, 12}});
    return QIcon(sheet);
}

} // namespace

struct StageTable::Impl {
    Impl(StageTable& o, Stage s, Workspace& w) : owner(o), stage(s), space(w) {}

    void build();
    void connectAll();
    void fitColumns();
    void selectionFromWindow();
    void selectionToWindow();
    void say(const QString& sentence);
    void lookEmpty();
    void follow();
    void lookMore();
    [[nodiscard]] ItemId itemAt(const QModelIndex& index) const {
        return ItemId{index.data(ItemTable::IdRole).toUInt()};
    }

    StageTable& owner;
    Stage stage;
    Workspace& space;
    ItemTable* items = nullptr;
    NaturalSort* sorted = nullptr;
    QTableView* view = nullptr;
    QLineEdit* filter = nullptr;
    QLabel *empty = nullptr, *message = nullptr;
    QToolBar* bar = nullptr; ///< of the stage's actions; those without room stand behind its last button
    QStackedLayout* stack = nullptr;
    QList<QAction*> actions;
    bool following = false; ///< the table is being brought to the window's selection
    bool choosing = false;  ///< and the other way round
};

StageTable::StageTable(Stage stage, Workspace& space, QWidget* parent)
    : QWidget(parent), m_impl(std::make_unique<Impl>(*this, stage, space)) {
    m_impl->build();
    m_impl->connectAll();
    m_impl->selectionFromWindow();
    m_impl->follow();
}
StageTable::~StageTable() = default;

void StageTable::Impl::build() {
    items = makeStageTable(stage, space, &owner);
    items->setAwake(false);
    sorted = new NaturalSort(&owner);
    sorted->setSourceModel(items);
    view = new QTableView(&owner);
    view->setModel(sorted);
    view->setObjectName(QStringLiteral("stageTable"));
    view->setAccessibleName(stageName(stage));
    lookLikeTable(*view);
    view->setItemDelegate(new TableCells(view));
    view->setSortingEnabled(true);
    if (stage == Stage::load) {
        // The fullest first, and what they come down to beside it; where they stand and send is said by their
        // names.
        constexpr int kSite = 1, kCarrier = 2, kNow = 3;
        QHeaderView& head = *view->horizontalHeader();
        for (const int column : {kSite, kCarrier})
            head.moveSection(head.visualIndex(column), sorted->columnCount() - 1);
        view->sortByColumn(kNow, Qt::DescendingOrder);
    } else {
        view->sortByColumn(stage == Stage::cells || stage == Stage::pack ? 1 : 0, Qt::AscendingOrder);
    }
    view->setContextMenuPolicy(Qt::CustomContextMenu);
    view->installEventFilter(&owner);

    filter = new QLineEdit(&owner);
    filter->setPlaceholderText(StageTable::tr("Filter"));
    filter->setAccessibleName(StageTable::tr("Filter the table"));
    filter->setToolTip(StageTable::tr("Shows rows that hold every word typed here."));
    filter->setClearButtonEnabled(true);
    filter->setMaximumWidth(owner.fontMetrics().averageCharWidth() * 26);
    empty = new QLabel(&owner);
    empty->setAlignment(Qt::AlignCenter);
    empty->setWordWrap(true);
    empty->setTextFormat(Qt::PlainText);
    empty->setMargin(owner.fontMetrics().height());
    message = new QLabel(&owner);
    message->setWordWrap(true);
    message->setTextFormat(Qt::PlainText);
    message->hide();

    filter->setMinimumWidth(owner.fontMetrics().averageCharWidth() * 12);
    bar = new QToolBar(&owner);
    bar->setToolButtonStyle(Qt::ToolButtonTextBesideIcon);
    bar->setAccessibleName(StageTable::tr("Actions"));
    bar->setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Preferred);
    auto* actionRow = new QHBoxLayout;
    actionRow->setContentsMargins(8, 4, 8, 4);
    actionRow->setSpacing(6);
    actionRow->addWidget(bar, 1);
    actionRow->addWidget(filter);
    stack = new QStackedLayout;
    stack->addWidget(view);
    stack->addWidget(empty);
    auto* all = new QVBoxLayout(&owner);
    all->setContentsMargins(1, 1, 1, 4);
    all->setSpacing(0);
    all->addLayout(actionRow);
    all->addLayout(stack, 1);
    all->addWidget(message);
    owner.setFocusProxy(view);
    fitColumns();
}

void StageTable::Impl::connectAll() {
    connect(filter, &QLineEdit::textChanged, &owner, [this](const QString& t) {
        sorted->setWords(t);
        selectionFromWindow();
        lookEmpty();
    });
    connect(&space.selection, &Selection::changed, &owner, [this] { selectionFromWindow(); });
    connect(view->selectionModel(), &QItemSelectionModel::selectionChanged, &owner,
            [this] { selectionToWindow(); });
    connect(items, &ItemTable::refused, &owner, [this](const QString& s) { say(s); });
    for (const auto signal : {&QAbstractItemModel::modelReset})
        connect(items, signal, &owner, [this] {
            fitColumns();
            selectionFromWindow();
            follow();
        });
    connect(items, &QAbstractItemModel::rowsInserted, &owner, [this] {
        selectionFromWindow();
        lookEmpty();
    });
    connect(items, &QAbstractItemModel::rowsRemoved, &owner, [this] { lookEmpty(); });
    connect(&space.document, &PlanDocument::planChanged, &owner, [this] {
        say({});
        follow();
    });
    connect(&space.live, &LiveStudy::shownChanged, &owner, [this] {
        // Rows keep their places while something is dragged.
        if (sorted->dynamicSortFilter() == space.drag.active())
            sorted->setDynamicSortFilter(!space.drag.active());
        follow();
    });
    connect(&space.drag, &LiveDrag::ended, &owner, [this] { sorted->setDynamicSortFilter(true); });
    connect(view, &QTableView::doubleClicked, &owner, [this](const QModelIndex& at) {
        if (!(at.flags() & Qt::ItemIsEditable)) emit owner.itemActivated(itemAt(at));
    });
    connect(view, &QTableView::customContextMenuRequested, &owner, [this](const QPoint& at) {
        if (actions.isEmpty()) return;
        QMenu menu(&owner);
        menu.addActions(actions);
        menu.exec(view->viewport()->mapToGlobal(at));
    });
    if (auto* pack = qobject_cast<PackTable*>(items))
        connect(pack, &PackTable::chosenSitesChanged, &owner, &StageTable::chosenSitesChanged);
}

// Widths after heads and the first rows; long names are cut and shown whole by the tooltip.
void StageTable::Impl::fitColumns() {
    const QFontMetrics fm(view->font());
    const int pad = fm.averageCharWidth() * 3;
    for (int c = 0; c < sorted->columnCount(); ++c) {
        int w = fm.horizontalAdvance(items->column(c).head) + pad + fm.height();
        for (int r = 0; r < std::min(items->rowCount(), 40); ++r)
            w = std::max(w, fm.horizontalAdvance(items->index(r, c).data().toString()) + pad);
        view->setColumnWidth(c, std::min(w, fm.averageCharWidth() * 36));
    }
}

void StageTable::Impl::selectionFromWindow() {
    if (choosing) return;
    following = true;
    QItemSelection rows;
    QModelIndex primary;
    for (const ItemId id : items->rowsOf(space.selection)) {
        const QModelIndex at = sorted->mapFromSource(items->index(items->rowOf(id), 0));
        if (!at.isValid()) continue;
        rows.select(at, at);
        if (!primary.isValid() || id == space.selection.primary()) primary = at;
    }
    auto& chosen = *view->selectionModel();
    chosen.select(rows, QItemSelectionModel::ClearAndSelect | QItemSelectionModel::Rows);
    if (primary.isValid() && !chosen.isRowSelected(chosen.currentIndex().row())) {
        const QModelIndex at = primary.siblingAtColumn(std::max(0, chosen.currentIndex().column()));
        chosen.setCurrentIndex(at, QItemSelectionModel::NoUpdate);
        view->scrollTo(at);
    }
    following = false;
}

void StageTable::Impl::selectionToWindow() {
    if (following) return;
    std::vector<ItemId> chosen;
    for (const QModelIndex& at : view->selectionModel()->selectedRows()) chosen.push_back(itemAt(at));
    const QModelIndex current = view->currentIndex();
    const ItemId primary = current.isValid() ? itemAt(current) : ItemId{};
    choosing = true;
    const bool has = std::find(chosen.begin(), chosen.end(), primary) != chosen.end();
    space.selection.set(std::move(chosen), has ? primary : ItemId{});
    choosing = false;
}

void StageTable::Impl::say(const QString& sentence) {
    message->setText(sentence);
    message->setVisible(!sentence.isEmpty());
}

void StageTable::Impl::lookEmpty() {
    const bool none = sorted->rowCount() == 0;
    if (none)
        empty->setText(
            items->rowCount() > 0
                ? StageTable::tr("No row holds “%1”. Clear the filter to see all.").arg(filter->text())
                : stageEmptyText(stage, space));
    stack->setCurrentIndex(none ? 1 : 0);
}

void StageTable::Impl::follow() {
    if (!owner.isVisible()) return;
    lookEmpty();
}

// Qt's own button behind which actions without room stand.
void StageTable::Impl::lookMore() {
    auto* more = bar->findChild<QToolButton*>(QStringLiteral("qt_toolbar_ext_button"));
    if (!more) return;
    more->setIcon(moreIcon(owner));
    more->setToolTip(StageTable::tr("More actions"));
    more->setAccessibleName(more->toolTip());
}

Stage StageTable::stage() const { return m_impl->stage; }
QTableView& StageTable::view() const { return *m_impl->view; }
ItemTable& StageTable::items() const { return *m_impl->items; }
QLineEdit& StageTable::filterLine() const { return *m_impl->filter; }
QString StageTable::message() const {
    return m_impl->message->isHidden() ? QString() : m_impl->message->text();
}

void StageTable::setActions(const QList<QAction*>& actions) {
    m_impl->actions = actions;
    QToolBar& bar = *m_impl->bar;
    bar.clear();
    for (QAction* action : actions) {
        if (action->isSeparator()) continue;
        bar.addAction(action);
        bar.widgetForAction(action)->setObjectName(QStringLiteral("stageAction"));
    }
}

std::vector<ItemId> StageTable::chosenSites() const {
    const auto* pack = qobject_cast<PackTable*>(m_impl->items);
    return pack ? pack->chosenSites() : std::vector<ItemId>{};
}

void StageTable::showEvent(QShowEvent* event) {
    QWidget::showEvent(event);
    m_impl->lookMore();
    m_impl->items->setAwake(true);
    m_impl->follow();
}
void StageTable::hideEvent(QHideEvent* event) {
    QWidget::hideEvent(event);
    m_impl->items->setAwake(false);
}

void StageTable::changeEvent(QEvent* event) {
    QWidget::changeEvent(event);
    if (event->type() == QEvent::LayoutDirectionChange) m_impl->lookMore();
    if (event->type() == QEvent::PaletteChange || event->type() == QEvent::FontChange) {
        lookLikeTable(*m_impl->view);
        lookSoft(*m_impl->empty);
        lookRefused(*m_impl->message);
        m_impl->lookMore();
    }
}

// A card over the map.
void StageTable::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.setRenderHint(QPainter::Antialiasing);
    p.setPen(c.line);
    p.setBrush(c.raised);
    p.drawRoundedRect(QRectF(rect()).adjusted(0.5, 0.5, -0.5, -0.5), 5, 5);
}

bool StageTable::eventFilter(QObject* watched, QEvent* event) {
    if (watched == m_impl->view && event->type() == QEvent::KeyPress) {
        const auto& key = static_cast<const QKeyEvent&>(*event);
        const bool enter = key.key() == Qt::Key_Return || key.key() == Qt::Key_Enter;
        const QModelIndex at = m_impl->view->currentIndex();
        if (enter && key.modifiers() == Qt::NoModifier && at.isValid()) {
            emit itemActivated(m_impl->itemAt(at));
            return true;
        }
        // With nothing chosen the first arrow chooses the row the cursor is on, else it would be passed over.
        const bool arrow = key.key() == Qt::Key_Down || key.key() == Qt::Key_Up;
        if (arrow && key.modifiers() == Qt::NoModifier && at.isValid() &&
            !m_impl->view->selectionModel()->hasSelection()) {
            m_impl->view->selectRow(at.row());
            return true;
        }
    }
    return QWidget::eventFilter(watched, event);
}

} // namespace fw
