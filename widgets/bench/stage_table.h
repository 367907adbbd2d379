// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "models/stage.h"

#include <QWidget>

#include <memory>
#include <vector>

class QAbstractItemModel;
class QAction;
class QLineEdit;
class QTableView;

namespace fw {

class ItemTable;

/// The table of one stage with its actions, a filter and what to do when it is empty. Its rows and the
/// selection of the window are one: choosing here chooses there, and the other way round.
class StageTable : public QWidget {
    Q_OBJECT
public:
    StageTable(Stage stage, Workspace& space, QWidget* parent = nullptr);
    ~StageTable() override;

    [[nodiscard]] Stage stage() const;
    /// Buttons above the table, and its context menu. The actions stay the caller's.
    void setActions(const QList<QAction*>& actions);
    /// Sites ticked for the pack, ascending; empty in the other stages.
    [[nodiscard]] std::vector<ItemId> chosenSites() const;

    [[nodiscard]] QTableView& view() const;
    [[nodiscard]] ItemTable& items() const;
    [[nodiscard]] QLineEdit& filterLine() const;
    /// The sentence that is shown under the table; empty when there is none.
    [[nodiscard]] QString message() const;

signals:
    void itemActivated(fw::ItemId item); ///< double click on a cell that is not edited, or Enter
    void chosenSitesChanged();

protected:
    void paintEvent(QPaintEvent*) override;
    void showEvent(QShowEvent*) override;
    void hideEvent(QHideEvent*) override;
    void changeEvent(QEvent*) override;
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace fw
