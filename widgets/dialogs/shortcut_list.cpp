// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/shortcut_list.h"

#include "dialogs/dialog_parts.h"

#include <QDialogButtonBox>
#include <QHeaderView>
#include <QLineEdit>
#include <QTableWidget>
#include <QVBoxLayout>

namespace fw {

namespace {

struct Shortcut {
    QString what, keys;
};

QList<Shortcut> handKeys() {
    const auto tr = [](const char* text) { return ShortcutList::tr(text); };
    return {
        {tr("Map: zoom at the pointer"), tr("Wheel")},
        {tr("Map: pan"), tr("Middle button, or Space and drag")},
        {tr("Map: move the selection by 1 m (10 m)"), tr("Arrows (Shift)")},
        {tr("Map: turn the chosen radio by 1° (10°)"), tr("[ and ] (Shift)")},
        {tr("Map: switch snapping off while dragging"), tr("Alt")},
        {tr("Map: add to the selection, or take out"), tr("Ctrl and click")},
        {tr("Map: leave a drag or a tool"), tr("Esc")},
        {tr("Before and after: move the divider (finely)"), tr("Left and Right (Shift), Home, End")},
        {tr("Before and after: take the divider away"), tr("Esc")},
        {tr("Skyline: turn by 1° (10°)"), tr("Left and Right (Shift)")},
        {tr("Skyline: next tilt of the bracket"), tr("Up and Down")},
        {tr("Tables: go there on the map"), tr("Enter")},
    };
}

} // namespace

ShortcutList::ShortcutList(const QList<QAction*>& actions, QWidget* parent) : QDialog(parent) {
    setWindowTitle(tr("Keys"));
    auto* page = new QVBoxLayout(this);
    auto* filter = new QLineEdit(this);
    filter->setPlaceholderText(tr("Find a command or a key"));
    filter->setClearButtonEnabled(true);
    page->addWidget(filter);
    QList<Shortcut> rows;
    for (const QAction* a : actions)
        if (!a->shortcut().isEmpty()) {
            QStringList keys;
            for (const QKeySequence& k : a->shortcuts()) keys << k.toString(QKeySequence::NativeText);
            rows << Shortcut{a->text().remove(QLatin1Char('&')), keys.join(QStringLiteral(", "))};
        }
    rows << handKeys();
    auto* table = new QTableWidget(static_cast<int>(rows.size()), 2, this);
    table->setHorizontalHeaderLabels({tr("What"), tr("Keys")});
    table->verticalHeader()->hide();
    table->setEditTriggers(QAbstractItemView::NoEditTriggers);
    table->setSelectionBehavior(QAbstractItemView::SelectRows);
    table->setShowGrid(false);
    table->setTabKeyNavigation(false);
    for (int k = 0; k < rows.size(); ++k) {
        table->setItem(k, 0, new QTableWidgetItem(rows[k].what));
        table->setItem(k, 1, new QTableWidgetItem(rows[k].keys));
    }
    table->horizontalHeader()->setSectionResizeMode(0, QHeaderView::Stretch);
    table->horizontalHeader()->setSectionResizeMode(1, QHeaderView::ResizeToContents);
    page->addWidget(table);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close, this);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    page->addWidget(buttons);
    connect(filter, &QLineEdit::textChanged, table, [table](const QString& text) {
        for (int k = 0; k < table->rowCount(); ++k)
            table->setRowHidden(k, !table->item(k, 0)->text().contains(text, Qt::CaseInsensitive) &&
                                       !table->item(k, 1)->text().contains(text, Qt::CaseInsensitive));
    });
    openAtSize(*this, {fontMetrics().averageCharWidth() * 84, fontMetrics().height() * 30});
}

} // namespace fw
