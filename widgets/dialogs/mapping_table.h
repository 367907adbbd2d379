// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "intake/preview.h"

#include <QTableWidget>

#include <functional>
#include <memory>

namespace fw {

/// Which column of a file holds which field of its kind, with unit and first values; each can be chosen anew.
class MappingTable : public QTableWidget {
    Q_OBJECT
public:
    explicit MappingTable(QWidget* parent = nullptr);
    void setPreview(std::shared_ptr<const IntakePreview> preview);

signals:
    void asked(const std::function<void(fw::IntakeRequest&)>& how); ///< another column or unit was chosen

private:
    void showField(const MappedField& field);
    void columnChosen(int field, int column);
    void unitChosen(int field, const QString& unit);
    std::shared_ptr<const IntakePreview> m_preview;
};

} // namespace fw
