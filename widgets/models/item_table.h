// SPDX-License-Identifier: GPL-3.0-or-later
// A table whose rows are items of the plan. It follows plan, figures and drags cell by cell: nothing is reset
// but when another plan is opened.
#pragma once

#include "document/workspace.h"
#include "models/item_field.h"

#include <QAbstractTableModel>

#include <optional>
#include <vector>

namespace fw {

/// One column. Numbers have their unit in the head and sort by value.
struct TableColumn {
    QString head, meaning;
    bool number = false;
    bool check = false;       ///< a box to tick; `value` gives a bool
    bool sortByValue = false; ///< for words with an order of their own
    /// What the row holds: double, bool or QString; invalid where it is not known.
    std::function<QVariant(ItemId row)> value;
    /// How it is written; left out: text as it is.
    std::function<QString(const QVariant& value)> text;
    /// Field behind it, for editing in place; null: read only.
    const ItemField* field = nullptr;
    bool readOnly = false; ///< shown here, changed elsewhere
    /// The item that has the field; left out: the row's own.
    std::function<ItemId(ItemId row)> item;
    /// Makes the edit where setting the field of that item is not all of it.
    std::function<Result<Edit>(ItemId row, const QVariant& value)> change;
};

class ItemTable : public QAbstractTableModel {
    Q_OBJECT
public:
    enum Role {
        SortRole = Qt::UserRole, ///< double or QString
        IdRole,                  ///< quint32 of the row's item
        NumberRole,              ///< bool: the column holds numbers
        FieldRole,               ///< const ItemField* as const void*, null when read only
    };

    ItemTable(Workspace& space, QObject* parent);

    int rowCount(const QModelIndex& parent = {}) const override;
    int columnCount(const QModelIndex& parent = {}) const override;
    QVariant data(const QModelIndex& index, int role) const override;
    QVariant headerData(int section, Qt::Orientation orientation, int role) const override;
    Qt::ItemFlags flags(const QModelIndex& index) const override;
    /// Makes one step of the history. Refused: false, the value as it was, the sentence by refused().
    bool setData(const QModelIndex& index, const QVariant& value, int role) override;

    [[nodiscard]] ItemId idAt(int row) const { return m_ids[static_cast<std::size_t>(row)]; }
    [[nodiscard]] int rowOf(ItemId id) const; ///< -1: none
    [[nodiscard]] const std::vector<ItemId>& ids() const { return m_ids; }
    [[nodiscard]] const TableColumn& column(int c) const { return m_columns[static_cast<std::size_t>(c)]; }

    /// Rows that belong to a selection: chosen themselves, or by what they hang on or what hangs on them.
    /// Ascending.
    [[nodiscard]] std::vector<ItemId> rowsOf(const Selection& selection) const;

    /// Asleep (hidden) it only keeps its rows; awake it catches up.
    void setAwake(bool awake);

    /// Puts another value into a cell that was worked out late.
    void refreshCell(ItemId row, int column);

signals:
    void refused(const QString& sentence);

protected:
    /// The rows there shall be, ascending.
    [[nodiscard]] virtual std::vector<ItemId> wantedRows() const = 0;
    /// Whether figures of all rows follow a drag, or only those of dragged ones.
    [[nodiscard]] virtual bool allFollowDrag() const { return false; }
    /// Another study or review is in view; before cells are asked again.
    virtual void figuresChanged() {}
    virtual void planMoved(const PlanDiff&) {}
    /// A tick that is view state and no edit. False: not this column.
    virtual bool tick(ItemId, int, bool) { return false; }
    /// False for cells of an editable column that a row does not have.
    [[nodiscard]] virtual bool editable(ItemId, int) const { return true; }

    void setColumns(std::vector<TableColumn> columns) { m_columns = std::move(columns); }
    void addColumn(TableColumn column) { m_columns.push_back(std::move(column)); }
    void makeReadOnly();
    /// Fills the rows; by the constructor of each table, once it can answer wantedRows().
    void start();

    /// As it stands or, while it is dragged, as it would be.
    [[nodiscard]] std::optional<Mount> mount(ItemId id) const;
    [[nodiscard]] std::optional<Radio> radio(ItemId id) const;
    [[nodiscard]] std::optional<Item> item(ItemId id) const;
    [[nodiscard]] const Plan& plan() const { return m_space.document.plan(); }
    [[nodiscard]] Workspace& space() const { return m_space; }

    /// A column that shows and edits a field.
    [[nodiscard]] TableColumn fieldColumn(Kind kind, const char* key, const QString& head = {},
                                          const std::function<ItemId(ItemId)>& item = {}) const;

    void followRows();
    void refreshRows(const std::function<bool(ItemId)>& which);

private:
    struct Shown {
        QVariant value;
        QString text;
        bool operator==(const Shown&) const = default;
    };
    using Row = std::vector<std::optional<Shown>>;

    [[nodiscard]] Shown make(ItemId row, const TableColumn& column) const;
    [[nodiscard]] const Shown& shown(int row, int column) const;
    [[nodiscard]] bool dragged(ItemId row) const;
    void fallBehind();
    void refreshOne(int row, int column);
    void planChanged(const PlanDiff& diff);
    void planReplaced();
    void followFigures();
    void followDrag();
    bool perform(const Result<Edit>& edit);
    QVariant tip(const QModelIndex& index) const;

    Workspace& m_space;
    std::vector<TableColumn> m_columns;
    std::vector<ItemId> m_ids;
    mutable std::vector<Row> m_rows; ///< what has been asked for, beside m_ids
    bool m_awake = true, m_behind = false;
    mutable bool m_asked = false; ///< something in m_rows was made
};

/// The chain of one table row; works for every kind that a table lists.
Chain rowChain(const Plan& plan, ItemId row);

} // namespace fw
