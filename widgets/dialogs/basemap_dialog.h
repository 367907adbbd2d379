// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "geo/shape.h"

#include <QDialog>

#include <memory>
#include <optional>
#include <string>

class QComboBox;
class QFormLayout;
class QLabel;
class QLineEdit;
class QPushButton;
class QRadioButton;
class QSpinBox;

namespace fw {

struct BasemapHead;

/// Asks what lies beneath the plan on the map: nothing, a file, or the address of a tile server. A file is
/// looked at while the dialog is open; nobody is asked for a tile before it is accepted.
class BasemapDialog : public QDialog {
    Q_OBJECT
public:
    explicit BasemapDialog(Workspace& space, QWidget* parent = nullptr);
    ~BasemapDialog() override;

    /// As if it had been chosen by hand.
    void setFile(const QString& file);
    void accept() override;

    [[nodiscard]] QRadioButton* kindButton(BasemapChoice::Kind kind) const;
    [[nodiscard]] QLineEdit* fileField() const { return m_file; }
    [[nodiscard]] QLineEdit* addressField() const { return m_address; }
    [[nodiscard]] QLineEdit* attributionField() const { return m_attribution; }
    [[nodiscard]] QLabel* fileWords() const { return m_fileWords; }
    [[nodiscard]] QLabel* trouble() const { return m_says; }
    /// No file is being looked at.
    [[nodiscard]] bool ready() const { return !m_looking; }

private:
    QWidget* fileRows();
    QWidget* addressRows();
    void readChoice();
    void kindChanged();
    void askForFile();
    void look();
    void looked(const Result<BasemapHead>& head);
    void describe();
    void refuse(const QString& why, QWidget* where);
    [[nodiscard]] BasemapChoice::Kind kind() const;

    Workspace& m_space;
    QRadioButton *m_none, *m_ofFile, *m_ofAddress;
    QLineEdit *m_file, *m_address, *m_attribution;
    QPushButton* m_choose = nullptr;
    QComboBox* m_layer = nullptr;
    QSpinBox *m_epsg = nullptr, *m_from = nullptr, *m_to = nullptr;
    QFormLayout* m_fileForm = nullptr;
    QWidget *m_filePart, *m_addressPart;
    QLabel *m_fileWords = nullptr, *m_says;
    std::unique_ptr<BasemapHead> m_head; ///< of the file in the field; none: not looked at, or refused
    QString m_fileTrouble;
    bool m_looking = false, m_ownAttribution = false;
};

} // namespace fw
