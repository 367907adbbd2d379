// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "calibration/calibration.h"
#include "calibration/measured_azimuth.h"
#include "document/workspace.h"
#include "intake/inventory_audit.h"
#include "intake/preview.h"

#include <QObject>
#include <QString>

#include <memory>

namespace fw {

/// What came of comparing a file of measurements with a plan.
struct CalibrationResult {
    std::shared_ptr<const Study> study; ///< compared with; its plan is the one that was compared
    Calibration calibration;
    std::vector<MeasuredAzimuth> azimuths;
    std::vector<AuditFinding> swapped; ///< sectors that were measured in each other's place
};

/// One file of measurements: read and compared with the plan on a worker, applied on the user's word. The
/// points live here alone; a plan keeps none.
class CalibrationRun : public QObject {
    Q_OBJECT
public:
    explicit CalibrationRun(Workspace& space, QObject* parent = nullptr);
    ~CalibrationRun() override;

    /// Reads a file and compares.
    void setFile(const QString& path);
    [[nodiscard]] const QString& path() const { return m_path; }
    /// Asks something else of the file: read and compared anew.
    void change(const IntakeRequest& request);
    [[nodiscard]] const IntakeRequest& request() const { return m_request; }
    void setOptions(const CalibrationOptions& options);
    [[nodiscard]] const CalibrationOptions& options() const { return m_options; }
    /// Compares with the plan as it is now.
    void compare();
    void stop();
    [[nodiscard]] bool running() const { return m_running; }

    [[nodiscard]] const std::shared_ptr<const IntakePreview>& preview() const { return m_preview; }
    /// The last that came through; null where there is none yet, or the file or the options are others.
    [[nodiscard]] const std::shared_ptr<const CalibrationResult>& result() const { return m_result; }
    /// Why there is no preview or no result; empty while there is nothing to say.
    [[nodiscard]] const QString& trouble() const { return m_trouble; }
    /// The plan is still the one that was compared.
    [[nodiscard]] bool current() const { return m_current; }
    /// The offsets of result() are in the plan, and that was done here.
    [[nodiscard]] bool applied() const { return m_applied; }

    /// Puts the offsets and the note into the plan as one step. Refused by a sentence.
    Status apply();

    static const QString& jobKey();

signals:
    void changed();
    void resultChanged(); ///< result() is another

private:
    struct Read;
    void start(bool anew);
    void done(Outcome outcome, const Read& read);
    void planChanged();
    void drop();

    Workspace& m_space;
    QString m_path, m_trouble;
    IntakeRequest m_request;
    CalibrationOptions m_options;
    std::shared_ptr<const IntakePreview> m_preview;
    std::shared_ptr<const CalibrationResult> m_result;
    std::uint64_t m_round = 0; ///< results of an earlier one are dropped
    bool m_running = false, m_current = false, m_applied = false;
};

} // namespace fw
