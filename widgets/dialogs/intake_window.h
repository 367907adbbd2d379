// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "dialogs/intake_files.h"

#include <QDialog>

class QCheckBox;
class QComboBox;
class QLabel;
class QLineEdit;
class QListWidget;
class QProgressBar;
class QPushButton;
class QTableView;

namespace fw {

class MappingTable;
class RasterPart;
class RefusalModel;
class RemarkList;

/// Files before they are taken in: what each holds, where it lies, which column is what, which rows are
/// refused and why. Not modal; nothing changes before "Take in", and that is one step of the history.
class IntakeWindow : public QDialog {
    Q_OBJECT
public:
    explicit IntakeWindow(Workspace& space, QWidget* parent = nullptr);
    ~IntakeWindow() override;

    void addFiles(const QStringList& files);
    [[nodiscard]] IntakeFiles& files() { return m_files; }
    [[nodiscard]] int current() const;
    /// The rows of the chosen file lie there; empty: nowhere, or nothing is chosen.
    [[nodiscard]] Box extent() const;
    /// What the window says of the chosen file.
    [[nodiscard]] QString stateText() const;
    void takeIn();
    /// Writes the refused rows as CSV; a sentence under the table says what became of it.
    void saveRefused(const QString& file);

signals:
    void extentChanged(); ///< extent() is another
    void showWanted(const fw::Box& extent);
    void saveWanted(); ///< the plan needs a file before a raster can lie beside it

protected:
    void showEvent(QShowEvent*) override;
    void hideEvent(QHideEvent*) override;

private:
    // intake_window.cpp
    void listChanged();
    void fileChanged(int file);
    void currentChanged();
    void showFile();
    void showRows(const IntakeFile& f);
    void showState();
    [[nodiscard]] QString rasterText(const IntakeFile& f) const;
    void showRefused();
    void ask(const std::function<void(IntakeRequest&)>& how);
    void kindChosen();
    void systemEntered();
    // intake_window_parts.cpp
    void makeWindow();
    QWidget* makeList();
    QWidget* makeHead();
    QWidget* makeTables();
    QWidget* makeFoot();
    [[nodiscard]] const IntakeFile* file() const;
    [[nodiscard]] QString lineOf(const IntakeFile& f) const;

    Workspace& m_space;
    IntakeFiles m_files;
    QListWidget* m_list = nullptr;
    QComboBox *m_kind = nullptr, *m_layer = nullptr;
    QLineEdit* m_system = nullptr;
    QCheckBox* m_swap = nullptr;
    QLabel *m_systemSays = nullptr, *m_state = nullptr, *m_empty = nullptr, *m_refusedSays = nullptr;
    QWidget *m_page = nullptr, *m_body = nullptr, *m_head = nullptr, *m_tables = nullptr;
    RasterPart* m_raster = nullptr;
    RemarkList* m_remarks = nullptr;
    MappingTable* m_mapping = nullptr;
    QTableView* m_refused = nullptr;
    RefusalModel* m_refusals = nullptr;
    QProgressBar* m_bar = nullptr;
    QPushButton *m_take = nullptr, *m_show = nullptr, *m_save = nullptr, *m_stop = nullptr;
    bool m_filling = false; ///< controls change by us, not by a hand
};

} // namespace fw
