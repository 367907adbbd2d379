// SPDX-License-Identifier: GPL-3.0-or-later
// The plan that is open, with its history. The only writer of a plan in the window.
#pragma once

#include "base/result.h"
#include "document/plan_keeping.h"
#include "geo/frame.h"
#include "plan/edit.h"
#include "plan/snapshot.h"
#include "surface/surface.h"

#include <QObject>
#include <QUndoStack>

#include <filesystem>
#include <memory>
#include <optional>
#include <vector>

namespace fw {

struct LostWork;

/// A plan with the terrain it stands on, as read from its file.
struct LoadedPlan {
    Plan plan;
    std::filesystem::path path; ///< whose folder holds the terrain; written only where it is held
    std::shared_ptr<const Terrain> terrain;
    std::vector<std::string> notes; ///< what the reader mended or passed over
    bool readOnly = false;
    std::optional<LockHolder> heldBy; ///< for reading only because another session has it
    std::string whyReadOnly;          ///< else a sentence: what keeps it from being written
    HeldFile held;                    ///< none for a copy
    std::vector<Edit> replayed;       ///< lost work that is in `plan` and not in the file
    bool unsaved = false;             ///< the plan is not what its file says, or has none: closing asks
};

/// Reads plan and terrain and takes the right to write the plan; where another session has that, the plan is
/// for reading only. `ours` is the lock of this window when it opens its own plan once more. Long: for a
/// worker.
Result<LoadedPlan> loadPlan(const std::filesystem::path& file, std::shared_ptr<SessionLock> ours = {});
/// Reads plan and terrain to work on a copy that has no file yet.
Result<LoadedPlan> loadCopy(const std::filesystem::path& file);
/// Brings lost work back and reads the terrain under it; held as loadPlan() does. Where another session has
/// the plan, it comes back as a copy.
Result<LoadedPlan> loadLostWork(LostWork& work, std::shared_ptr<SessionLock> ours = {});

/// An edit that was applied to a copy of the plan, on any thread: what takes long of a large one.
struct AppliedEdit {
    Plan before, after;
    Edit edit, inverse;
    static Result<AppliedEdit> make(const Plan& plan, Edit edit);
};

class PlanDocument : public QObject {
    Q_OBJECT
public:
    explicit PlanDocument(QObject* parent = nullptr);
    ~PlanDocument() override;

    /// Puts another plan in place of this one; history and clean state start anew. Refused by a sentence when
    /// its system cannot be used; then nothing changed.
    Status adopt(LoadedPlan loaded);
    /// After adopt() of lost work: has the edits that brought it back in a journal, on disk, so that the old
    /// one can go.
    Status keepRecovered(const std::vector<Edit>& edits);
    /// Back to no plan at all.
    void close();
    [[nodiscard]] bool isOpen() const { return m_frame.has_value(); }

    [[nodiscard]] const Plan& plan() const { return m_plan; }
    /// The ground the plan stands on; the one before while terrainIsRead() is false.
    [[nodiscard]] const std::shared_ptr<const Terrain>& terrain() const { return m_terrain; }
    /// False after an edit, undo or redo that names another file of terrain, demand or land cover, until
    /// somebody has read it (loadTerrain with terrainFrom()) and handed it in.
    [[nodiscard]] bool terrainIsRead() const;
    /// The file whose folder holds the plan's terrain.
    [[nodiscard]] const std::filesystem::path& terrainFrom() const { return m_keeping.origin(); }
    /// A terrain that was read; taken up at once where the plan names it, else kept for an edit that will.
    void takeTerrain(const GroundFiles& files, const std::shared_ptr<const Terrain>& terrain);
    [[nodiscard]] const Frame& frame() const { return *m_frame; } ///< only while open
    /// Where save() writes; empty: it has no file yet.
    [[nodiscard]] std::filesystem::path path() const { return m_keeping.path(); }
    /// The right to write the file; none for a plan without one, or for reading only.
    [[nodiscard]] const std::shared_ptr<SessionLock>& lock() const { return m_keeping.held().lock; }
    [[nodiscard]] bool readOnly() const { return m_readOnly; }
    /// From reading only to a copy that can be worked on and has no file yet.
    void workOnCopy();
    [[nodiscard]] QString title() const; ///< the plan's name, or the file's

    /// Makes an edit and puts it on the history under its text. A nudge joins the step before when both touch
    /// the same items under the same text and it comes within two seconds. Refused by a sentence (also sent
    /// as refused()), the plan unchanged.
    Status perform(const Edit& edit, bool nudge = false);
    /// The same at once, for an edit applied elsewhere. Refused too where the plan is no longer the one it
    /// was applied to.
    Status perform(AppliedEdit made);
    [[nodiscard]] QUndoStack& history() { return m_history; }
    /// Who writes files from here on (PlanKeeping::setWriter).
    void setWriter(PlanKeeping::Writer writer) { m_keeping.setWriter(std::move(writer)); }

    /// Writes the plan; the history's state becomes the clean one. Edits are refused until it returns.
    Status save();
    Status saveAs(const std::filesystem::path& file);

signals:
    void planReplaced();                        ///< adopt() or close(): everything is another
    void planChanged(const fw::PlanDiff& diff); ///< after an edit, undo or redo
    void terrainChanged();                      ///< terrain() is another, the plan is not
    void refused(const QString& sentence);
    void warned(const QString& sentence); ///< what keeps edits safe does not, or does again
    void keptChanged();                   ///< path(), readOnly() or lock() is another

private:
    friend class EditStep;
    Result<Edit> change(const Edit& edit);
    void changed(const Plan& before, const Edit& edit);
    [[nodiscard]] Status mayEdit() const;
    Status refuse(Error error);
    bool findTerrain();

    /// A terrain that this session has read, for undo and redo.
    struct ReadTerrain {
        GroundFiles files;
        std::shared_ptr<const Terrain> terrain; ///< null: let go, and read again where it is wanted
    };

    Plan m_plan;
    std::optional<Frame> m_frame;
    std::shared_ptr<const Terrain> m_terrain;
    GroundFiles m_groundFiles;           ///< what m_terrain is
    std::vector<ReadTerrain> m_terrains; ///< every one that the history names, the latest last
    PlanKeeping m_keeping;
    bool m_readOnly = false;
    int m_adopted = 0; ///< how many plans were put in place, or taken away
    QUndoStack m_history;
};

} // namespace fw
