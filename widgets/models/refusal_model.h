// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "intake/preview.h"

#include <QAbstractTableModel>

#include <memory>

namespace fw {

/// Refused rows of a preview: row, column, value, reason.
class RefusalModel : public QAbstractTableModel {
    Q_OBJECT
public:
    using QAbstractTableModel::QAbstractTableModel;
    void setPreview(std::shared_ptr<const IntakePreview> preview);

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] QVariant headerData(int section, Qt::Orientation way, int role) const override;

private:
    std::shared_ptr<const IntakePreview> m_preview;
};

} // namespace fw
