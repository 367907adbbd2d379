// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/intake_files.h"

#include "base/text.h"
#include "intake/file_gate.h"
#include "intake/kind_guess.h"
#include "text/figures.h"

#include <QFileInfo>

namespace fw {

namespace {

const QString kIntakeJob = QStringLiteral("intake");

} // namespace

/// What one reading gives back.
struct IntakeFiles::Read {
    std::uint64_t round = 0;
    int file = 0;
    std::optional<IntakeKind> kind;
    std::vector<SourceLayer> layers;
    std::shared_ptr<const IntakePreview> preview;
    bool raster = false;
    std::shared_ptr<const RasterPreview> ground;
    std::optional<Error> fault;
};

namespace {

template <class T>
std::shared_ptr<const T> kept(Result<T> result, std::optional<Error>& fault) {
    if (result) return std::make_shared<const T>(std::move(*result));
    fault = result.error();
    return nullptr;
}

} // namespace

IntakeFiles::IntakeFiles(Workspace& space, QObject* parent) : QObject(parent), m_space(space) {
    connect(&space.document, &PlanDocument::planReplaced, this, [this] {
        for (IntakeFile& f : m_files) f.taken = false; // into another plan
        planChanged();
    });
    connect(&space.document, &PlanDocument::planChanged, this, [this](const PlanDiff&) { planChanged(); });
    connect(&space.document.history(), &QUndoStack::indexChanged, this, &IntakeFiles::historyMoved);
}

IntakeFiles::~IntakeFiles() {
    m_space.jobs.cancel(kIntakeJob);
    m_space.jobs.cancel(kTakingJob);
}

void IntakeFiles::add(const QStringList& paths) {
    m_stopped = false;
    for (const QString& path : paths) {
        const auto there =
            std::find_if(m_files.begin(), m_files.end(), [&](const IntakeFile& f) { return f.path == path; });
        if (there != m_files.end()) {
            there->taken = false;
            m_stale[static_cast<std::size_t>(there - m_files.begin())] = true;
            continue;
        }
        IntakeFile file;
        file.path = path;
        m_files.push_back(std::move(file));
        m_stale.push_back(true);
    }
    emit listChanged();
    next();
}

void IntakeFiles::remove(int file) {
    if (m_files[static_cast<std::size_t>(file)].taking) m_space.jobs.cancel(kTakingJob);
    m_files.erase(m_files.begin() + file);
    m_stale.erase(m_stale.begin() + file);
    ++m_round;
    m_reading = -1;
    m_space.jobs.cancel(kIntakeJob);
    emit listChanged();
    next();
}

void IntakeFiles::change(int file, const IntakeRequest& request, std::optional<IntakeKind> kind) {
    IntakeFile& f = m_files[static_cast<std::size_t>(file)];
    f.request = request;
    f.kind = kind;
    readAnew(file);
}

void IntakeFiles::changeGround(int file, const RasterRequest& request) {
    m_files[static_cast<std::size_t>(file)].groundRequest = request;
    readAnew(file);
}

void IntakeFiles::readAnew(int file) {
    m_files[static_cast<std::size_t>(file)].taken = false;
    m_stale[static_cast<std::size_t>(file)] = true;
    m_stopped = false;
    if (m_reading == file) {
        ++m_round;
        m_reading = -1;
        m_space.jobs.cancel(kIntakeJob);
    }
    emit changed(file);
    next();
}

void IntakeFiles::setCurrent(int file) {
    m_current = file;
    next();
}

// Ids and what is there already depend on the plan, so every preview that could still be taken in is stale.
void IntakeFiles::planChanged() {
    ++m_round;
    m_reading = -1;
    m_space.jobs.cancel(kIntakeJob);
    for (std::size_t k = 0; k < m_files.size(); ++k)
        if (!m_files[k].taken) m_stale[k] = true;
    next();
}

// What was taken in and undone can be taken in once more.
void IntakeFiles::historyMoved(int index) {
    for (std::size_t k = 0; k < m_files.size(); ++k) {
        IntakeFile& f = m_files[k];
        if (!f.taken || f.takenAt == 0 || index >= f.takenAt) continue;
        f.taken = false;
        m_stale[k] = true;
        emit changed(static_cast<int>(k));
    }
    next();
}

int IntakeFiles::waiting() const {
    const auto stale = [&](int k) {
        return k >= 0 && k < static_cast<int>(m_files.size()) && m_stale[static_cast<std::size_t>(k)];
    };
    if (stale(m_current)) return m_current;
    for (int k = 0; k < static_cast<int>(m_files.size()); ++k)
        if (stale(k)) return k;
    return -1;
}

void IntakeFiles::next() {
    if (m_reading >= 0 || m_stopped || !m_space.document.isOpen()) return;
    const int file = waiting();
    if (file < 0) return;
    m_reading = file;
    const IntakeFile& f = m_files[static_cast<std::size_t>(file)];
    auto read = std::make_shared<Read>();
    read->round = ++m_round;
    read->file = file;
    read->kind = f.kind;
    const auto work = [read, plan = m_space.document.plan(), path = f.path.toStdString(), request = f.request,
                       ground = f.groundRequest](const Job& job) mutable {
        if (const auto admitted = admitFile(path); admitted && isRaster(admitted->format)) {
            read->raster = true;
            read->ground = kept(previewRaster(plan, path, ground, job), read->fault);
            return;
        }
        const auto source = openSource(path, request.source, job, &read->layers);
        if (!source) {
            read->fault = source.error();
            return;
        }
        if (!read->kind) read->kind = guessKind((*source)->head());
        if (!read->kind) return;
        request.kind = *read->kind;
        request.remembered =
            MappingMemory(mappingMemoryFile()).recall(infoOf(request.kind), (*source)->head());
        read->preview = kept(previewIntake(plan, **source, request, job), read->fault);
    };
    m_job = tr("Reading %1").arg(QFileInfo(f.path).fileName());
    m_space.jobs.start(kIntakeJob, m_job, work, [this, read](Outcome outcome) { readDone(outcome, *read); });
    emit changed(file);
}

void IntakeFiles::readDone(Outcome outcome, const Read& read) {
    if (read.round != m_round) return; // asked for something else meanwhile
    m_reading = -1;
    IntakeFile& f = m_files[static_cast<std::size_t>(read.file)];
    if (outcome == Outcome::cancelled) {
        m_stopped = true;
        f.trouble = tr("Reading was stopped.");
        emit changed(read.file);
        return;
    }
    m_stale[static_cast<std::size_t>(read.file)] = false;
    f.kind = read.kind;
    f.layers = read.layers;
    f.preview = read.preview;
    f.raster = read.raster;
    f.ground = read.ground;
    f.trouble.clear();
    if (read.fault)
        f.trouble = coreText(read.fault->sentence());
    else if (!read.kind && !read.raster)
        f.trouble = tr("Nothing in this file tells what it holds. Choose it above.");
    emit changed(read.file);
    next();
}

bool IntakeFiles::ready(int file) const {
    const IntakeFile& f = m_files[static_cast<std::size_t>(file)];
    if (m_stale[static_cast<std::size_t>(file)] || f.taken || f.taking) return false;
    return f.raster ? f.ground && f.ground->usable()
                    : f.preview && f.preview->usable() && !f.preview->edit.changes.empty();
}

double IntakeFiles::progress() const {
    for (const JobState& job : m_space.jobs.states())
        if (job.name == m_job) return job.share;
    return 0;
}

int IntakeFiles::placeOf(const QString& path) const {
    const auto it =
        std::find_if(m_files.begin(), m_files.end(), [&](const IntakeFile& f) { return f.path == path; });
    return it == m_files.end() ? -1 : static_cast<int>(it - m_files.begin());
}

void IntakeFiles::stop() {
    m_space.jobs.cancel(kTakingJob);
    if (!reading()) return;
    m_stopped = true;
    m_space.jobs.cancel(kIntakeJob);
}

} // namespace fw
