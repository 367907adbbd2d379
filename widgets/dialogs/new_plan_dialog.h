// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/plan_document.h"

#include <QDialog>

class QDateEdit;
class QDoubleSpinBox;
class QLabel;
class QLineEdit;

namespace fw {

/// Asks for what a new plan needs: its name, a place, the size of the ground to compute, a date.
class NewPlanDialog : public QDialog {
    Q_OBJECT
public:
    explicit NewPlanDialog(QWidget* parent = nullptr);
    /// An empty plan on flat ground in the UTM zone of the place; only after the dialog was accepted.
    [[nodiscard]] const std::optional<LoadedPlan>& plan() const { return m_plan; }
    void accept() override;

private:
    QLineEdit *m_name, *m_place;
    QDoubleSpinBox* m_sideKm;
    QDateEdit* m_date;
    QLabel* m_says;
    std::optional<LoadedPlan> m_plan;
};

/// "36.9, -20.4" or "36.9 N 20.4 W"-like text as latitude and longitude (WGS 84, deg); a sentence when it is
/// not.
Result<GeoPoint> placeFromText(const QString& text);

/// An empty plan: one variant, the default limits, a square work area round the place.
Result<LoadedPlan> emptyPlan(const std::string& name, GeoPoint at, double sideM, Date date);

} // namespace fw
