// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "charts/share_histogram.h"
#include "study/study.h"

namespace fw {

/// How far from the antenna a cell's users are, by step of timing advance: as measured, as modelled, and as
/// the cell's load is spread.
class RingHistogram : public ShareHistogram {
    Q_OBJECT
public:
    explicit RingHistogram(QWidget* parent = nullptr);

    /// @param cell  its name, for the heading.
    /// @param why   why the load is not spread as measured; empty where it is.
    void setUsers(const Study::UserDistances& users, const QString& cell, const QString& why);
    /// @param why   what is said instead of a picture.
    void clear(const QString& why);

    /// "From 78 m to 156 m: 12.3 % measured, 8.1 % as modelled, 12.0 % as spread".
    [[nodiscard]] QString classText(int cls) const override;

protected:
    [[nodiscard]] QString axisText() const override;
    [[nodiscard]] std::vector<Tick> ticks(double classWide) const override;
    [[nodiscard]] QString spreadName() const override;

private:
    double m_stepM = 0;
    int m_steps = 0;
};

} // namespace fw
