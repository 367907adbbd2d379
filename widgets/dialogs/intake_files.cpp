// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/intake_files.h"

#include "intake/kind_guess.h"
#include "text/figures.h"

#include <QFileInfo>

namespace fw {

namespace {

const QString kJob = QStringLiteral("intake");

} // namespace

/// What one reading gives back.
struct IntakeFiles::Read {
    std::uint64_t round = 0;
    int file = 0;
    std::optional<IntakeKind> kind;
    std::vector<SourceLayer> layers;
    std::shared_ptr<const IntakePreview> preview;
    std::optional<Error> fault;
};

IntakeFiles::IntakeFiles(Workspace& space, QObject* parent) : QObject(parent), m_space(space) {
    connect(&space.document, &PlanDocument::planReplaced, this, [this] {
        for (IntakeFile& f : m_files) f.taken = false; // into another plan
        planChanged();
    });
    connect(&space.document, &PlanDocument::planChanged, this, [this](const PlanDiff&) { planChanged(); });
    connect(&space.document.history(), &QUndoStack::indexChanged, this, &IntakeFiles::historyMoved);
}

IntakeFiles::~IntakeFiles() { m_space.jobs.cancel(kJob); }

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
    m_files.erase(m_files.begin() + file);
    m_stale.erase(m_stale.begin() + file);
    ++m_round;
    m_reading = -1;
    m_space.jobs.cancel(kJob);
    emit listChanged();
    next();
}

void IntakeFiles::change(int file, const IntakeRequest& request, std::optional<IntakeKind> kind) {
    IntakeFile& f = m_files[static_cast<std::size_t>(file)];
    f.request = request;
    f.kind = kind;
    f.taken = false;
    m_stale[static_cast<std::size_t>(file)] = true;
    m_stopped = false;
    if (m_reading == file) {
        ++m_round;
        m_reading = -1;
        m_space.jobs.cancel(kJob);
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
    m_space.jobs.cancel(kJob);
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
    const auto work = [read, plan = m_space.document.plan(), path = f.path.toStdString(),
                       request = f.request](const Job& job) mutable {
        if (auto layers = layersOf(path)) read->layers = std::move(*layers);
        auto source = openSource(path, request.source);
        if (!source) {
            read->fault = source.error();
            return;
        }
        if (!read->kind) read->kind = guessKind((*source)->head());
        if (!read->kind) return;
        request.kind = *read->kind;
        request.remembered =
            MappingMemory(mappingMemoryFile()).recall(infoOf(request.kind), (*source)->head());
        source->reset();
        auto preview = previewIntake(plan, path, request, job);
        if (preview)
            read->preview = std::make_shared<const IntakePreview>(std::move(*preview));
        else
            read->fault = preview.error();
    };
    m_space.jobs.start(kJob, tr("Reading %1").arg(QFileInfo(f.path).fileName()), work,
                       [this, read](Outcome outcome) { readDone(outcome, *read); });
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
    f.trouble.clear();
    if (read.fault)
        f.trouble = coreText(read.fault->sentence());
    else if (!read.kind)
        f.trouble = tr("Nothing in this file tells what it holds. Choose it above.");
    emit changed(read.file);
    next();
}

Status IntakeFiles::takeIn(int file) {
    IntakeFile& f = m_files[static_cast<std::size_t>(file)];
    if (!f.preview || m_stale[static_cast<std::size_t>(file)] || !f.preview->usable())
        return Error{ErrorCode::badInput, "There is nothing to take in yet."};
    const auto preview = f.preview; // planChanged() comes while the edit is made
    f.taken = true;
    f.takenAt = 0;
    if (Status s = m_space.document.perform(preview->edit); !s.ok()) {
        f.taken = false;
        return s;
    }
    f.takenAt = m_space.document.history().index();
    // What is remembered is a help for next time and never in the way.
    static_cast<void>(
        MappingMemory(mappingMemoryFile()).remember(infoOf(preview->kind), preview->head, preview->mapping));
    emit changed(file);
    emit taken(file);
    return Done{};
}

void IntakeFiles::stop() {
    m_stopped = true;
    m_space.jobs.cancel(kJob);
}

} // namespace fw
