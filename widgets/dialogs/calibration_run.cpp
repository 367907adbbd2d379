// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/calibration_run.h"

#include "text/figures.h"

#include <QFileInfo>

#include <algorithm>

namespace fw {

namespace {

// A part of the work as a part of the bar.
Job partOf(const Job& job, double from, double to) {
    Job part;
    part.stop = job.stop;
    part.progress = [&job, from, to](double share, std::string_view what) {
        job.report(from + (to - from) * share, what);
    };
    return part;
}

Result<IntakePreview> readFile(const Plan& plan, const std::string& path, IntakeRequest request,
                               const Job& job) {
    request.kind = IntakeKind::measurements;
    return previewIntake(plan, path, std::move(request), MappingMemory(mappingMemoryFile()), job);
}

Result<CalibrationResult> compareWith(const std::shared_ptr<const Study>& previous, const Plan& plan,
                                      const std::shared_ptr<const Terrain>& terrain,
                                      const std::vector<MeasuredPoint>& points,
                                      const CalibrationOptions& options, const Job& job) {
    CalibrationResult out;
    auto study = Study::advance(previous, plan, terrain, {}, partOf(job, 0.2, 0.6));
    if (!study) return study.error();
    out.study = std::move(*study);
    auto calibration = calibrate(*out.study, points, options, partOf(job, 0.6, 0.9));
    if (!calibration) return calibration.error();
    out.calibration = std::move(*calibration);
    job.report(0.9, "azimuths");
    out.azimuths = measuredAzimuths(*out.study, out.calibration);
    AuditEvidence evidence;
    evidence.measured = points;
    out.swapped = auditInventory(plan, evidence);
    std::erase_if(out.swapped, [](const AuditFinding& f) { return f.check != "swapped-sectors"; });
    return out;
}

} // namespace

/// What one run on the worker gives back.
struct CalibrationRun::Read {
    std::uint64_t round = 0;
    std::shared_ptr<const IntakePreview> preview;
    std::shared_ptr<const CalibrationResult> result;
    std::optional<Error> fault;
};

const QString& CalibrationRun::jobKey() {
    static const QString key = QStringLiteral("calibrate");
    return key;
}

CalibrationRun::CalibrationRun(Workspace& space, QObject* parent) : QObject(parent), m_space(space) {
    connect(&space.document, &PlanDocument::planReplaced, this, [this] {
        drop();
        if (!m_path.isEmpty() && m_space.document.isOpen())
            start(true); // places lie otherwise in another plan
        else
            emit changed();
    });
    connect(&space.document, &PlanDocument::planChanged, this, [this](const PlanDiff&) { planChanged(); });
}

CalibrationRun::~CalibrationRun() { m_space.jobs.cancel(jobKey()); }

void CalibrationRun::drop() {
    ++m_round;
    m_running = false;
    m_space.jobs.cancel(jobKey());
    m_preview.reset();
    m_trouble.clear();
    m_current = m_applied = false;
    if (!m_result) return;
    m_result.reset();
    emit resultChanged();
}

void CalibrationRun::setFile(const QString& path) {
    drop();
    m_path = path;
    m_request = {};
    m_request.kind = IntakeKind::measurements;
    start(true);
}

void CalibrationRun::change(const IntakeRequest& request) {
    drop();
    m_request = request;
    start(true);
}

void CalibrationRun::setOptions(const CalibrationOptions& options) {
    m_options = options;
    if (!m_path.isEmpty()) compare();
}

void CalibrationRun::compare() { start(!m_preview); }

void CalibrationRun::stop() { m_space.jobs.cancel(jobKey()); }

// What was compared stays readable; whether it may be applied depends on the plan being the same still.
void CalibrationRun::planChanged() {
    const Plan& now = m_space.document.plan();
    m_current = m_result && diff(m_result->study->plan(), now).empty();
    if (m_current) m_applied = false; // undone
    emit changed();
}

void CalibrationRun::start(bool anew) {
    if (!m_space.document.isOpen()) {
        m_trouble = tr("Open or make a plan first; measurements are compared with one.");
        emit changed();
        return;
    }
    auto read = std::make_shared<Read>();
    read->round = ++m_round;
    m_running = true;
    m_trouble.clear();
    const auto work = [read, anew, plan = m_space.document.plan(), terrain = m_space.document.terrain(),
                       previous = m_space.live.study(), path = m_path.toStdString(), request = m_request,
                       known = m_preview, options = m_options](const Job& job) {
        read->preview = known;
        if (anew) {
            auto preview = readFile(plan, path, request, partOf(job, 0, 0.2));
            if (!preview) {
                read->fault = preview.error();
                return;
            }
            read->preview = std::make_shared<const IntakePreview>(std::move(*preview));
        }
        if (!read->preview->usable() || job.stopped()) return;
        auto result = compareWith(previous, plan, terrain, read->preview->measured, options, job);
        if (result)
            read->result = std::make_shared<const CalibrationResult>(std::move(*result));
        else
            read->fault = result.error();
    };
    m_space.jobs.start(jobKey(), tr("Comparing %1").arg(QFileInfo(m_path).fileName()), work,
                       [this, read](Outcome outcome) { done(outcome, *read); });
    emit changed();
}

void CalibrationRun::done(Outcome outcome, const Read& read) {
    if (read.round != m_round) return; // asked for something else meanwhile
    m_running = false;
    if (read.preview) m_preview = read.preview;
    m_trouble.clear();
    if (outcome == Outcome::cancelled) {
        m_trouble = tr("Stopped. Nothing is changed.");
    } else if (outcome == Outcome::failed) {
        m_trouble = tr("The comparison failed; there may be too little memory for it. Nothing is changed.");
    } else if (read.fault) {
        m_trouble = coreText(read.fault->sentence());
    }
    m_result = outcome == Outcome::done ? read.result : nullptr;
    m_applied = false;
    m_current = m_result && diff(m_result->study->plan(), m_space.document.plan()).empty();
    emit resultChanged();
    emit changed();
}

Status CalibrationRun::apply() {
    if (!m_result || !m_current)
        return Error{ErrorCode::badInput, "The plan has changed since it was compared; compare it again."};
    const Plan& plan = m_space.document.plan();
    const auto edit = calibrationEdit(plan, m_result->calibration, QFileInfo(m_path).fileName().toStdString(),
                                      plan.settings->date);
    if (!edit) return edit.error();
    if (Status s = m_space.document.perform(*edit); !s.ok()) return s;
    m_applied = true;
    // What is remembered is a help for next time and never in the way.
    static_cast<void>(MappingMemory(mappingMemoryFile())
                          .remember(infoOf(m_preview->kind), m_preview->head, m_preview->mapping));
    emit changed();
    return Done{};
}

} // namespace fw
