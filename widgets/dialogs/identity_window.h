// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "siting/identity.h"

#include <QDialog>

#include <memory>
#include <optional>

class QLabel;
class QListWidget;
class QProgressBar;
class QPushButton;
class QTableWidget;

namespace fw {

class IdentityRanges;

/// The identity plan: what the network is to know each chosen small cell by, as it is and as it would be, its
/// neighbours, and the conflicts that would be left with their reasons. Not modal; made on a worker, and anew
/// while it is open when the plan or a range changes. Nothing changes before "Apply", which is one step of
/// the history.
class IdentityWindow : public QDialog {
    Q_OBJECT
public:
    explicit IdentityWindow(Workspace& space, QWidget* parent = nullptr);
    ~IdentityWindow() override;

    /// Null: there is none, or not yet.
    [[nodiscard]] const IdentityPlan* identities() const { return m_made.get(); }
    [[nodiscard]] QTableWidget& table() const { return *m_table; }
    [[nodiscard]] IdentityRanges& ranges() const { return *m_ranges; }
    [[nodiscard]] QString stateText() const;
    /// Whether what is shown is of the plan as it is.
    [[nodiscard]] bool current() const;
    /// Writes the integration sheet on a worker: a workbook where the name ends in .xlsx, else CSV.
    void writeSheet(const QString& file);

public slots:
    void apply();
    void askForSheet();
    void openWorking();

signals:
    void itemWanted(fw::ItemId item);
    void workingWanted(fw::Working working);
    void said(const QString& sentence); ///< what came of the sheet

protected:
    void showEvent(QShowEvent*) override;
    void hideEvent(QHideEvent*) override;

private:
    void makeWindow();
    void follow();
    void plan();
    void fill();
    void fillRow(int row, const CellPlan& cell);
    void fillReasons();
    void showState();
    [[nodiscard]] const CellPlan* chosen() const;
    [[nodiscard]] IdentityOptions options() const;

    Workspace& m_space;
    std::shared_ptr<const IdentityPlan> m_made;
    std::shared_ptr<const Study> m_of;      ///< what is asked, or was answered, is about
    std::optional<IdentityOptions> m_asked; ///< with these
    QString m_refused;
    bool m_running = false, m_filling = false;
    IdentityRanges* m_ranges = nullptr;
    QLabel *m_state = nullptr, *m_said = nullptr;
    QTableWidget* m_table = nullptr;
    QListWidget* m_reasons = nullptr;
    QPushButton *m_apply = nullptr, *m_sheet = nullptr, *m_working = nullptr, *m_stop = nullptr;
    QProgressBar* m_bar = nullptr;
};

} // namespace fw
