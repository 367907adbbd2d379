// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/item_table.h"

#include "text/figures.h"

#include <algorithm>

namespace fw {

Chain rowChain(const Plan& plan, ItemId row) {
    Chain c;
    if (const SmallCell* s = plan.smallCells.find(row)) {
        c.smallCell = row;
        c.radio = s->radio;
    }
    if (const Radio* r = plan.radios.find(c.radio ? c.radio : row)) {
        c.radio = r->id;
        c.mount = r->mount;
    } else if (plan.mounts.find(row)) {
        c.mount = row;
    } else if (const Cell* x = plan.cells.find(row)) {
        c.cell = row;
        c.sector = x->sector;
        if (const Sector* s = plan.sectors.find(x->sector)) c.site = s->site;
    }
    return c;
}

ItemTable::ItemTable(Workspace& space, QObject* parent) : QAbstractTableModel(parent), m_space(space) {}

void ItemTable::start() {
    m_ids = m_space.document.isOpen() ? wantedRows() : std::vector<ItemId>{};
    m_rows.assign(m_ids.size(), Row(m_columns.size()));
    connect(&m_space.document, &PlanDocument::planReplaced, this, &ItemTable::planReplaced);
    connect(&m_space.document, &PlanDocument::planChanged, this, &ItemTable::planChanged);
    connect(&m_space.live, &LiveStudy::shownChanged, this, &ItemTable::followFigures);
    connect(&m_space.drag, &LiveDrag::moved, this, &ItemTable::followDrag);
    connect(&m_space.drag, &LiveDrag::ended, this, &ItemTable::followFigures);
}

int ItemTable::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(m_ids.size());
}
int ItemTable::columnCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(m_columns.size());
}

void ItemTable::makeReadOnly() {
    for (TableColumn& c : m_columns) c.readOnly = true;
}

int ItemTable::rowOf(ItemId id) const {
    const auto it = std::lower_bound(m_ids.begin(), m_ids.end(), id);
    return it != m_ids.end() && *it == id ? static_cast<int>(it - m_ids.begin()) : -1;
}

std::optional<Mount> ItemTable::mount(ItemId id) const {
    if (m_space.drag.active()) return m_space.drag.mount(id);
    const Mount* m = plan().mounts.find(id);
    return m ? std::optional(*m) : std::nullopt;
}
std::optional<Radio> ItemTable::radio(ItemId id) const {
    if (m_space.drag.active()) return m_space.drag.radio(id);
    const Radio* r = plan().radios.find(id);
    return r ? std::optional(*r) : std::nullopt;
}
std::optional<Item> ItemTable::item(ItemId id) const {
    if (m_space.drag.active()) {
        if (auto m = m_space.drag.mount(id)) return Item{*std::move(m)};
        if (auto r = m_space.drag.radio(id)) return Item{*std::move(r)};
    }
    return plan().item(id);
}

ItemTable::Shown ItemTable::make(ItemId row, const TableColumn& column) const {
    Shown s;
    s.value = column.value(row);
    if (column.check) return s;
    if (column.text)
        s.text = column.text(s.value);
    else if (column.field)
        s.text = fieldEditText(*column.field, s.value);
    else
        s.text = s.value.toString();
    if (s.text.isEmpty() && column.number) s.text = unknownFigure();
    return s;
}

const ItemTable::Shown& ItemTable::shown(int row, int column) const {
    auto& slot = m_rows[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)];
    m_asked = true;
    if (!slot) slot = make(m_ids[static_cast<std::size_t>(row)], m_columns[static_cast<std::size_t>(column)]);
    return *slot;
}

QVariant ItemTable::tip(const QModelIndex& index) const {
    const TableColumn& c = column(index.column());
    const QString text = shown(index.row(), index.column()).text;
    QStringList lines;
    if (!text.isEmpty() && text != unknownFigure()) lines << text;
    if (c.field && flags(index).testFlag(Qt::ItemIsEditable))
        lines << fieldTip(*c.field);
    else if (!c.meaning.isEmpty())
        lines << c.meaning;
    return lines.join(QLatin1Char('\n'));
}

QVariant ItemTable::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) return {};
    const TableColumn& c = column(index.column());
    switch (role) {
    case Qt::DisplayRole:
        return c.check ? QVariant() : QVariant(shown(index.row(), index.column()).text);
    case Qt::EditRole:
        return c.field ? QVariant(fieldEditText(*c.field, shown(index.row(), index.column()).value))
                       : QVariant(shown(index.row(), index.column()).text);
    case Qt::CheckStateRole:
        if (!c.check) return {};
        return shown(index.row(), index.column()).value.toBool() ? Qt::Checked : Qt::Unchecked;
    case SortRole: {
        const QVariant& v = shown(index.row(), index.column()).value;
        if (c.check) return v.toBool() ? 0.0 : 1.0;
        if (c.number || c.sortByValue) return v;
        return c.field || c.text ? QVariant(shown(index.row(), index.column()).text) : v;
    }
    case Qt::TextAlignmentRole:
        return QVariant::fromValue(Qt::Alignment(Qt::AlignVCenter) |
                                   (c.number ? Qt::AlignRight : Qt::AlignLeft));
    case Qt::ToolTipRole:
        return tip(index);
    case Qt::AccessibleTextRole:
        if (c.check) return shown(index.row(), index.column()).value.toBool() ? tr("yes") : tr("no");
        return shown(index.row(), index.column()).text;
    case IdRole:
        return idAt(index.row()).v;
    case NumberRole:
        return c.number;
    case FieldRole:
        return QVariant::fromValue(static_cast<const void*>(c.field));
    default:
        return {};
    }
}

QVariant ItemTable::headerData(int section, Qt::Orientation orientation, int role) const {
    if (orientation != Qt::Horizontal || section < 0 || section >= columnCount()) return {};
    const TableColumn& c = column(section);
    switch (role) {
    case Qt::DisplayRole:
        return c.head;
    case Qt::ToolTipRole:
        return c.field && c.meaning.isEmpty() ? c.field->meaning : c.meaning;
    case Qt::TextAlignmentRole:
        return QVariant::fromValue(Qt::Alignment(Qt::AlignVCenter) |
                                   (c.number ? Qt::AlignRight : Qt::AlignLeft));
    default:
        return {};
    }
}

Qt::ItemFlags ItemTable::flags(const QModelIndex& index) const {
    Qt::ItemFlags f = QAbstractTableModel::flags(index);
    if (!index.isValid()) return f;
    const TableColumn& c = column(index.column());
    const ItemId row = idAt(index.row());
    const bool takes =
        c.field && !c.readOnly && !m_space.document.readOnly() && editable(row, index.column());
    if (c.check && (takes || !c.field))
        f |= Qt::ItemIsUserCheckable;
    else if (takes)
        f |= Qt::ItemIsEditable;
    return f;
}

bool ItemTable::perform(const Result<Edit>& edit) {
    if (!edit) {
        emit refused(QString::fromStdString(edit.error().sentence()));
        return false;
    }
    if (edit->changes.empty()) return true;
    const Status done = m_space.document.perform(*edit);
    if (!done) emit refused(QString::fromStdString(done.error().sentence()));
    return done.ok();
}

bool ItemTable::setData(const QModelIndex& index, const QVariant& value, int role) {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) return false;
    const TableColumn& c = column(index.column());
    const ItemId row = idAt(index.row());
    QVariant wanted;
    if (role == Qt::CheckStateRole && c.check) {
        wanted = value.toInt() == Qt::Checked;
        if (tick(row, index.column(), wanted.toBool())) {
            refreshOne(index.row(), index.column());
            return true;
        }
    } else if (role == Qt::EditRole && c.field) {
        if (value.toString() == data(index, Qt::EditRole).toString()) return true;
        auto parsed = typedValue(*c.field, value.toString());
        if (!parsed) {
            emit refused(QString::fromStdString(parsed.error().sentence()));
            return false;
        }
        wanted = *parsed;
    } else {
        return false;
    }
    if (c.change) return perform(c.change(row, wanted));
    if (!c.field) return false;
    const ItemId owner = c.item ? c.item(row) : row;
    return perform(editOfField(plan(), {owner}, *c.field, wanted));
}

std::vector<ItemId> ItemTable::rowsOf(const Selection& selection) const {
    std::vector<ItemId> above; // what the chosen ones hang on
    for (const ItemId id : selection.items()) {
        const Chain c = rowChain(plan(), id);
        above.insert(above.end(), {id, c.mount, c.radio});
    }
    std::sort(above.begin(), above.end());
    std::vector<ItemId> rows;
    if (selection.empty()) return rows;
    for (const ItemId row : m_ids) {
        const Chain c = rowChain(plan(), row);
        const auto chosen = [&](ItemId id) { return id && selection.has(id); };
        if (std::binary_search(above.begin(), above.end(), row) || chosen(c.mount) || chosen(c.radio) ||
            chosen(c.sector) || chosen(c.site))
            rows.push_back(row);
    }
    return rows;
}

void ItemTable::setAwake(bool awake) {
    m_awake = awake;
    if (!awake || !m_behind) return;
    m_behind = false;
    if (!m_ids.empty()) emit dataChanged(index(0, 0), index(rowCount() - 1, columnCount() - 1));
}

// What is asked while asleep is made anew; views hear of it on waking.
void ItemTable::fallBehind() {
    m_behind = true;
    if (!m_asked) return; // nothing was made since
    m_asked = false;
    for (Row& row : m_rows) std::fill(row.begin(), row.end(), std::nullopt);
}

void ItemTable::refreshOne(int row, int columnIndex) {
    auto& slot = m_rows[static_cast<std::size_t>(row)][static_cast<std::size_t>(columnIndex)];
    if (!slot) return; // nobody has asked yet
    Shown now = make(m_ids[static_cast<std::size_t>(row)], column(columnIndex));
    if (now == *slot) return;
    slot = std::move(now);
    const QModelIndex at = index(row, columnIndex);
    emit dataChanged(at, at);
}

void ItemTable::refreshCell(ItemId row, int columnIndex) {
    if (const int at = rowOf(row); at >= 0) refreshOne(at, columnIndex);
}

void ItemTable::refreshRows(const std::function<bool(ItemId)>& which) {
    for (int row = 0; row < rowCount(); ++row)
        if (which(m_ids[static_cast<std::size_t>(row)]))
            for (int c = 0; c < columnCount(); ++c) refreshOne(row, c);
}

void ItemTable::followRows() {
    const std::vector<ItemId> wanted = m_space.document.isOpen() ? wantedRows() : std::vector<ItemId>{};
    // What goes, in runs from the end.
    for (int last = rowCount() - 1; last >= 0;) {
        const auto gone = [&](int r) {
            return !std::binary_search(wanted.begin(), wanted.end(), m_ids[static_cast<std::size_t>(r)]);
        };
        if (!gone(last)) {
            --last;
            continue;
        }
        int first = last;
        while (first > 0 && gone(first - 1)) --first;
        beginRemoveRows({}, first, last);
        m_ids.erase(m_ids.begin() + first, m_ids.begin() + last + 1);
        m_rows.erase(m_rows.begin() + first, m_rows.begin() + last + 1);
        endRemoveRows();
        last = first - 1;
    }
    // What comes, in runs from the front; what is left stands in the same order in both.
    for (std::size_t at = 0; at < wanted.size();) {
        if (at < m_ids.size() && m_ids[at] == wanted[at]) {
            ++at;
            continue;
        }
        std::size_t end = at;
        while (end < wanted.size() && (at >= m_ids.size() || wanted[end] < m_ids[at])) ++end;
        beginInsertRows({}, static_cast<int>(at), static_cast<int>(end) - 1);
        const auto from = static_cast<std::ptrdiff_t>(at), to = static_cast<std::ptrdiff_t>(end);
        m_ids.insert(m_ids.begin() + from, wanted.begin() + from, wanted.begin() + to);
        m_rows.insert(m_rows.begin() + from, end - at, Row(m_columns.size()));
        endInsertRows();
        at = end;
    }
}

void ItemTable::planChanged(const PlanDiff& diff) {
    planMoved(diff);
    followRows();
    if (m_awake)
        refreshRows([](ItemId) { return true; });
    else
        fallBehind();
}

void ItemTable::planReplaced() {
    beginResetModel();
    planMoved({});
    figuresChanged();
    m_ids = m_space.document.isOpen() ? wantedRows() : std::vector<ItemId>{};
    m_rows.assign(m_ids.size(), Row(m_columns.size()));
    endResetModel();
}

void ItemTable::followFigures() {
    figuresChanged();
    if (!m_awake) {
        fallBehind();
        return;
    }
    if (m_space.drag.active() && !allFollowDrag()) return; // moved() follows, for the dragged rows
    refreshRows([](ItemId) { return true; });
}

bool ItemTable::dragged(ItemId row) const {
    const Chain c = rowChain(plan(), row);
    const auto is = [](const auto& list, ItemId id) {
        return std::any_of(list.begin(), list.end(), [id](const auto& x) { return x.id == id; });
    };
    const auto& radios = m_space.drag.radios();
    return is(m_space.drag.mounts(), c.mount) || is(radios, c.radio) ||
           (c.mount == row &&
            std::any_of(radios.begin(), radios.end(), [row](const Radio& r) { return r.mount == row; }));
}

void ItemTable::followDrag() {
    if (!m_awake) {
        fallBehind();
        return;
    }
    refreshRows([this](ItemId row) { return dragged(row); });
}

TableColumn ItemTable::fieldColumn(Kind kind, const char* key, const QString& head,
                                   const std::function<ItemId(ItemId)>& owner) const {
    TableColumn c;
    c.field = itemField(kind, QString::fromLatin1(key));
    Q_ASSERT(c.field);
    const ItemField& f = *c.field;
    c.head = !head.isEmpty() ? head : f.unit.isEmpty() ? f.label : tr("%1 (%2)").arg(f.label, f.unit);
    c.meaning = f.meaning;
    c.number = f.shape == FieldShape::number || f.shape == FieldShape::whole;
    c.check = f.shape == FieldShape::yesNo && f.key == QLatin1String("chosen");
    c.item = owner;
    c.value = [this, owner, &f](ItemId row) -> QVariant {
        const auto it = item(owner ? owner(row) : row);
        return it ? f.read(*it) : QVariant();
    };
    return c;
}

} // namespace fw
