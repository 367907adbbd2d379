// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/plan_document.h"

#include "base/text.h"
#include "store/plan_file.h"
#include "store/plan_terrain.h"

#include <QFileInfo>
#include <QUndoCommand>

#include <fmt/format.h>

#include <chrono>
#include <system_error>

namespace fw {

namespace fs = std::filesystem;

Result<LoadedPlan> loadPlan(const fs::path& file) {
    auto opened = openPlan(file);
    if (!opened) return opened.error();
    auto terrain = loadTerrain(opened->plan, opened->path);
    if (!terrain) return terrain.error();
    LoadedPlan loaded;
    loaded.plan = std::move(opened->plan);
    loaded.path = std::move(opened->path);
    loaded.terrain = *terrain;
    loaded.notes = std::move(opened->notes);
    return loaded;
}

namespace {
// After looking for so long at what a nudge did, the next one is another decision.
constexpr std::chrono::seconds kNudgePause{2};
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

PlanDocument::PlanDocument(QObject* parent) : QObject(parent) {}
PlanDocument::~PlanDocument() = default;

Status PlanDocument::adopt(LoadedPlan loaded) {
    auto frame = Frame::fromEpsg(loaded.plan.settings->epsg);
    if (!frame) return frame.error();
    m_history.clear();
    m_plan = std::move(loaded.plan);
    m_frame = std::move(*frame);
    m_terrain = std::move(loaded.terrain);
    m_origin = loaded.path;
    m_path = loaded.asCopy ? fs::path() : std::move(loaded.path);
    m_readOnly = loaded.readOnly;
    emit planReplaced();
    return Done{};
}

void PlanDocument::close() {
    m_history.clear();
    m_plan = {};
    m_frame.reset();
    m_terrain.reset();
    m_path.clear();
    m_origin.clear();
    m_readOnly = false;
    emit planReplaced();
}

QString PlanDocument::title() const {
    if (!isOpen()) return {};
    const QString name = QString::fromStdString(m_plan.settings->name);
    return name.isEmpty() ? QFileInfo(QString::fromStdString(m_path.string())).fileName() : name;
}

Result<Edit> PlanDocument::change(const Edit& edit) {
    const Plan before = m_plan;
    auto inverse = apply(m_plan, edit);
    if (inverse) emit planChanged(diff(before, m_plan));
    return inverse;
}

Status PlanDocument::perform(const Edit& edit, bool nudge) {
    if (edit.changes.empty()) return Done{};
    const auto refuse = [this](Error error) -> Status {
        emit refused(QString::fromStdString(error.sentence()));
        return error;
    };
    if (!isOpen()) return refuse({ErrorCode::badInput, CORE_TEXT("No plan is open.")});
    if (m_readOnly)
        return refuse(
            {ErrorCode::badInput,
             CORE_TEXT("This plan is open for reading only. Save it under another name to change it.")});
    auto inverse = change(edit);
    if (!inverse) return refuse(inverse.error());
    m_history.push(new EditStep(*this, edit, std::move(*inverse), nudge));
    return Done{};
}

Status PlanDocument::save() {
    if (m_path.empty())
        return Error{ErrorCode::badInput, CORE_TEXT("This plan has no file yet. Save it under a name.")};
    if (m_readOnly)
        return Error{ErrorCode::cannotWrite,
                     CORE_TEXT("This plan is open for reading only. Save it under another name.")};
    auto done = savePlan(m_plan, m_path);
    if (done) m_history.setClean();
    return done;
}

namespace {

// The plan names its terrain by a path beside it: in another folder the file has to go along.
Status takeTerrainAlong(const Plan& plan, const fs::path& from, const fs::path& to) {
    const TerrainRef& ref = plan.settings->terrain;
    if (ref.file.empty() || from.empty()) return Done{};
    const fs::path source = from.parent_path() / ref.file, target = to.parent_path() / ref.file;
    std::error_code fault;
    if (fs::equivalent(source, target, fault)) return Done{};
    if (fs::exists(target, fault)) {
        const auto digest = digestOfFile(target);
        if (digest && *digest == ref.digest) return Done{};
        return Error{
            ErrorCode::cannotWrite,
            CORE_TEXT("Another terrain file with this name is there already. Save the plan to another "
                      "folder."),
            target.string()};
    }
    fs::create_directories(target.parent_path(), fault);
    fs::copy_file(source, target, fault);
    if (fault)
        return Error{ErrorCode::cannotWrite,
                     fmt::format("The plan's terrain cannot be copied here: {}.", fault.message()),
                     target.string()};
    return Done{};
}

} // namespace

Status PlanDocument::saveAs(const fs::path& file) {
    if (!isOpen()) return Error{ErrorCode::badInput, CORE_TEXT("No plan is open.")};
    if (auto taken = takeTerrainAlong(m_plan, m_origin, file); !taken) return taken;
    auto done = savePlan(m_plan, file);
    if (!done) return done;
    m_path = m_origin = file;
    m_readOnly = false;
    m_history.setClean();
    return done;
}

} // namespace fw
