// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/plan_document.h"

#include "base/text.h"

#include <QFileInfo>
#include <QUndoCommand>

#include <algorithm>
#include <chrono>

namespace fw {

namespace {
// After looking for so long at what a nudge did, the next one is another decision.
constexpr std::chrono::seconds kNudgePause{2};
// Cells of terrains that are kept in memory for undo, beside the one in use: 240 MB.
constexpr std::size_t kCellsKept = 60'000'000;

std::size_t cellsOf(const std::shared_ptr<const Terrain>& t) {
    if (!t) return 0;
    return t->heights.cells.size() + (t->demand ? t->demand->cells.size() : 0) +
           (t->landCover ? t->landCover->cells.size() : 0);
}
} // namespace

/// One step of the history: an edit and what turns it round.
class EditStep : public QUndoCommand {
public:
    EditStep(PlanDocument& document, Edit edit, Edit inverse, bool nudge)
        : m_document(document), m_edit(std::move(edit)), m_inverse(std::move(inverse)), m_nudge(nudge) {
        setText(QString::fromStdString(m_edit.text));
    }
    // The history asks for it once when the step is put on it; by then the plan has changed already.
    void redo() override {
        if (m_fresh)
            m_fresh = false;
        else
            turn(m_edit, m_inverse);
    }
    void undo() override { turn(m_inverse, m_edit); }
    [[nodiscard]] int id() const override { return m_nudge ? 1 : -1; }
    bool mergeWith(const QUndoCommand* other) override {
        const auto& next = static_cast<const EditStep&>(*other);
        if (next.m_when - m_when > kNudgePause) return false;
        auto both = merged(m_edit, next.m_edit);
        auto back = merged(next.m_inverse, m_inverse);
        if (!both || !back) return false;
        m_edit = std::move(*both);
        m_inverse = std::move(*back);
        m_when = next.m_when;
        return true;
    }

private:
    void turn(const Edit& edit, Edit& other) {
        auto inverse = m_document.change(edit);
        if (inverse) {
            const std::string text = other.text;
            other = std::move(*inverse);
            other.text = text;
        } else {
            setObsolete(true);
            emit m_document.refused(QString::fromStdString(inverse.error().sentence()));
        }
    }
    PlanDocument& m_document;
    Edit m_edit, m_inverse;
    bool m_nudge, m_fresh = true;
    std::chrono::steady_clock::time_point m_when = std::chrono::steady_clock::now();
};

PlanDocument::PlanDocument(QObject* parent) : QObject(parent) {
    connect(&m_keeping, &PlanKeeping::warned, this, &PlanDocument::warned);
}
PlanDocument::~PlanDocument() = default;

Status PlanDocument::adopt(LoadedPlan loaded) {
    auto frame = Frame::fromEpsg(loaded.plan.settings->epsg);
    if (!frame) return frame.error();
    ++m_adopted;
    m_history.clear();
    m_plan = std::move(loaded.plan);
    m_frame = std::move(*frame);
    m_terrain = std::move(loaded.terrain);
    m_groundFiles = m_plan.settings->groundFiles();
    m_terrains = {{m_groundFiles, m_terrain}};
    m_readOnly = loaded.readOnly;
    m_keeping.take(std::move(loaded.held), std::move(loaded.path));
    if (loaded.unsaved) m_history.resetClean();
    emit planReplaced();
    return Done{};
}

Status PlanDocument::keepRecovered(const std::vector<Edit>& edits) {
    return m_keeping.recovered(m_plan, edits);
}

void PlanDocument::close() {
    ++m_adopted;
    m_history.clear();
    m_plan = {};
    m_frame.reset();
    m_terrain.reset();
    m_groundFiles = {};
    m_terrains.clear();
    m_keeping.letGo();
    m_readOnly = false;
    emit planReplaced();
}

QString PlanDocument::title() const {
    if (!isOpen()) return {};
    const QString name = QString::fromStdString(m_plan.settings->name);
    return name.isEmpty() ? QFileInfo(QString::fromStdString(path().string())).fileName() : name;
}

Result<Edit> PlanDocument::change(const Edit& edit) {
    const Plan before = m_plan;
    auto inverse = apply(m_plan, edit);
    if (inverse) changed(before, edit);
    return inverse;
}

void PlanDocument::changed(const Plan& before, const Edit& edit) {
    m_keeping.edited(before, edit);
    const bool otherGround = findTerrain();
    emit planChanged(diff(before, m_plan));
    if (otherGround) emit terrainChanged();
}

bool PlanDocument::terrainIsRead() const {
    return !isOpen() || m_plan.settings->groundFiles() == m_groundFiles;
}

// The terrain that the plan names, where it is at hand: flat, or read before.
bool PlanDocument::findTerrain() {
    const GroundFiles wanted = m_plan.settings->groundFiles();
    if (wanted == m_groundFiles) return false;
    auto known = std::find_if(m_terrains.begin(), m_terrains.end(),
                              [&](const ReadTerrain& t) { return t.files == wanted; });
    if (known == m_terrains.end()) {
        m_terrains.push_back({wanted, nullptr});
        known = m_terrains.end() - 1;
    }
    if (!known->terrain && wanted == GroundFiles{{{}, {}, wanted.terrain.flatM}, {}, {}}) {
        auto flat = std::make_shared<Terrain>();
        flat->flatM = wanted.terrain.flatM;
        known->terrain = std::move(flat);
    }
    if (!known->terrain) return false;
    m_terrain = known->terrain;
    m_groundFiles = wanted;
    std::rotate(known, known + 1, m_terrains.end());
    std::size_t kept = 0;
    for (auto t = m_terrains.rbegin() + 1; t != m_terrains.rend(); ++t) {
        kept += cellsOf(t->terrain);
        if (kept > kCellsKept) t->terrain.reset();
    }
    return true;
}

void PlanDocument::takeTerrain(const GroundFiles& files, const std::shared_ptr<const Terrain>& terrain) {
    if (!isOpen()) return;
    std::erase_if(m_terrains, [&](const ReadTerrain& t) { return t.files == files; });
    m_terrains.push_back({files, terrain});
    if (findTerrain()) emit terrainChanged();
}

Status PlanDocument::refuse(Error error) {
    emit refused(QString::fromStdString(error.sentence()));
    return error;
}

Status PlanDocument::mayEdit() const {
    if (!isOpen()) return Error{ErrorCode::badInput, CORE_TEXT("No plan is open.")};
    if (m_keeping.writing())
        return Error{ErrorCode::badInput,
                     CORE_TEXT("The plan is being saved. Do it once more when that is done.")};
    if (m_readOnly)
        return Error{
            ErrorCode::badInput,
            CORE_TEXT("This plan is open for reading only. Save it under another name to change it.")};
    return Done{};
}

Status PlanDocument::perform(const Edit& edit, bool nudge) {
    if (edit.changes.empty()) return Done{};
    if (const Status may = mayEdit(); !may.ok()) return refuse(may.error());
    auto inverse = change(edit);
    if (!inverse) return refuse(inverse.error());
    m_history.push(new EditStep(*this, edit, std::move(*inverse), nudge));
    return Done{};
}

Result<AppliedEdit> AppliedEdit::make(const Plan& plan, Edit edit) {
    AppliedEdit made{plan, plan, std::move(edit), {}};
    auto inverse = apply(made.after, made.edit);
    if (!inverse) return inverse.error();
    made.inverse = std::move(*inverse);
    return made;
}

Status PlanDocument::perform(AppliedEdit made) {
    if (const Status may = mayEdit(); !may.ok()) return refuse(may.error());
    // Chunks are compared by pointer, so that this costs next to nothing.
    if (!diff(made.before, m_plan).empty() || made.before.lastId != m_plan.lastId)
        return refuse({ErrorCode::badInput,
                       CORE_TEXT("The plan was changed meanwhile, so this was not done. Do it once more.")});
    m_plan = std::move(made.after);
    changed(made.before, made.edit);
    m_history.push(new EditStep(*this, std::move(made.edit), std::move(made.inverse), false));
    return Done{};
}

void PlanDocument::workOnCopy() {
    m_keeping.take({}, m_keeping.origin());
    m_readOnly = false;
    emit keptChanged();
}

Status PlanDocument::save() {
    if (m_readOnly)
        return Error{ErrorCode::cannotWrite,
                     CORE_TEXT("This plan is open for reading only. Save it under another name.")};
    const Plan written = m_plan; // another plan may come in while it is written
    const int of = m_adopted;
    Status done = m_keeping.save(written);
    if (done.ok() && of == m_adopted) m_history.setClean();
    return done;
}

Status PlanDocument::saveAs(const std::filesystem::path& file) {
    if (!isOpen()) return Error{ErrorCode::badInput, CORE_TEXT("No plan is open.")};
    std::vector<GroundFiles> grounds;
    grounds.reserve(m_terrains.size());
    for (const ReadTerrain& t : m_terrains) grounds.push_back(t.files);
    const Plan written = m_plan;
    const int of = m_adopted;
    Status done = m_keeping.saveAs(written, file, grounds);
    if (!done.ok() || of != m_adopted) return done;
    m_readOnly = false;
    m_history.setClean();
    emit keptChanged();
    return done;
}

} // namespace fw
