// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/table_cells.h"

#include "models/item_table.h"

#include <QComboBox>
#include <QLineEdit>

namespace fw {

namespace {

const ItemField* fieldOf(const QModelIndex& index) {
    return static_cast<const ItemField*>(index.data(ItemTable::FieldRole).value<const void*>());
}

} // namespace

QWidget* TableCells::createEditor(QWidget* parent, const QStyleOptionViewItem& option,
                                  const QModelIndex& index) const {
    const ItemField* field = fieldOf(index);
    if (!field) return QStyledItemDelegate::createEditor(parent, option, index);
    const QStringList choices = field->shape == FieldShape::choice ? field->choices
                                : field->shape == FieldShape::yesNo
                                    ? QStringList{fieldEditText(*field, true), fieldEditText(*field, false)}
                                    : QStringList{};
    if (!choices.isEmpty()) {
        auto* box = new QComboBox(parent);
        box->addItems(choices);
        box->setToolTip(fieldTip(*field));
        // A choice made with the mouse is meant; no second step to confirm it.
        connect(box, &QComboBox::activated, box, [this, box] {
            auto* self = const_cast<TableCells*>(this);
            emit self->commitData(box);
            emit self->closeEditor(box);
        });
        return box;
    }
    auto* line = new QLineEdit(parent);
    line->setFrame(false);
    line->setToolTip(fieldTip(*field));
    if (index.data(ItemTable::NumberRole).toBool()) line->setAlignment(Qt::AlignRight | Qt::AlignVCenter);
    return line;
}

void TableCells::setEditorData(QWidget* editor, const QModelIndex& index) const {
    const QString text = index.data(Qt::EditRole).toString();
    if (auto* box = qobject_cast<QComboBox*>(editor)) {
        box->setCurrentText(text);
    } else if (auto* line = qobject_cast<QLineEdit*>(editor)) {
        // Called again whenever the cell changes: what somebody is typing stays.
        if (!line->isModified()) line->setText(text);
    } else {
        QStyledItemDelegate::setEditorData(editor, index);
    }
}

void TableCells::setModelData(QWidget* editor, QAbstractItemModel* model, const QModelIndex& index) const {
    if (auto* box = qobject_cast<QComboBox*>(editor))
        model->setData(index, box->currentText(), Qt::EditRole);
    else if (auto* line = qobject_cast<QLineEdit*>(editor))
        model->setData(index, line->text(), Qt::EditRole);
    else
        QStyledItemDelegate::setModelData(editor, model, index);
}

} // namespace fw
