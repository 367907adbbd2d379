// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "charts/share_histogram.h"
#include "study/study.h"

namespace fw {

/// Channel quality that a cell's users report: as measured and as computed, by CQI.
class CqiHistogram : public ShareHistogram {
    Q_OBJECT
public:
    explicit CqiHistogram(QWidget* parent = nullptr);

    /// @param cell  its name, for the heading.
    void setUsers(const Study::UserCqi& users, const QString& cell);
    /// @param why   what is said instead of a picture.
    void clear(const QString& why);

    /// "CQI 7: 12.3 % measured, 8.1 % as computed".
    [[nodiscard]] QString classText(int cls) const override;

protected:
    [[nodiscard]] QString axisText() const override;
    [[nodiscard]] std::vector<Tick> ticks(double classWide) const override;
    [[nodiscard]] QString spreadName() const override;
};

} // namespace fw
