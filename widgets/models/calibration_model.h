// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "calibration/calibration.h"
#include "calibration/measured_azimuth.h"
#include "document/plan_document.h"

#include <QAbstractTableModel>

#include <vector>

namespace fw {

/// A calibration cell by cell, all fitted cells together in the first row: points, street squares, offset,
/// and mean, sigma and RMSE of measured less predicted before and after, on the squares fitted on and on
/// those held out.
class CalibrationModel : public QAbstractTableModel {
    Q_OBJECT
public:
    enum Column {
        Name,
        Points,
        Squares,
        Offset,
        FitMean,
        FitSigma,
        FitRmse,
        HeldMean,
        HeldSigma,
        HeldRmse,
        Verdict,
        ColumnCount
    };
    explicit CalibrationModel(PlanDocument& document, QObject* parent = nullptr);
    void setCalibration(Calibration calibration);
    void clear();
    [[nodiscard]] const Calibration& calibration() const { return m_calibration; }
    /// The cell of a row; none for the first, which is all of them.
    [[nodiscard]] ItemId cellAt(int row) const;
    [[nodiscard]] int rowOf(ItemId cell) const; ///< -1: none

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] QVariant headerData(int section, Qt::Orientation way, int role) const override;

private:
    [[nodiscard]] QString words(int row, int column) const;
    [[nodiscard]] QString verdict(const CellCalibration& c) const;
    PlanDocument& m_document;
    Calibration m_calibration;
    bool m_any = false;
};

/// Measured beside inventory azimuths, sector by sector.
class AzimuthModel : public QAbstractTableModel {
    Q_OBJECT
public:
    enum Column { Sector, Inventory, Measured, Difference, Points, Says, ColumnCount };
    explicit AzimuthModel(PlanDocument& document, QObject* parent = nullptr);
    void setAzimuths(std::vector<MeasuredAzimuth> azimuths);
    [[nodiscard]] const MeasuredAzimuth& at(int row) const {
        return m_azimuths[static_cast<std::size_t>(row)];
    }

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] QVariant headerData(int section, Qt::Orientation way, int role) const override;

private:
    PlanDocument& m_document;
    std::vector<MeasuredAzimuth> m_azimuths;
};

} // namespace fw
