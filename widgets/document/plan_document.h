// SPDX-License-Identifier: GPL-3.0-or-later
// The plan that is open, with its history. The only writer of a plan in the window.
#pragma once

#include "base/result.h"
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

/// A plan with the terrain it stands on, as read from its file.
struct LoadedPlan {
    Plan plan;
    std::filesystem::path path;
    bool asCopy =
        false; ///< true: opened as a copy (the sample): `path` is never written, save asks for a name
    std::shared_ptr<const Terrain> terrain;
    std::vector<std::string> notes; ///< what the reader mended or passed over
    bool readOnly = false;
};

/// Reads plan and terrain. Long: for a worker.
Result<LoadedPlan> loadPlan(const std::filesystem::path& file);

class PlanDocument : public QObject {
    Q_OBJECT
public:
    explicit PlanDocument(QObject* parent = nullptr);
    ~PlanDocument() override;

    /// Puts another plan in place of this one; history and clean state start anew. Refused by a sentence when
    /// its system cannot be used; then nothing changed.
    Status adopt(LoadedPlan loaded);
    /// Back to no plan at all.
    void close();
    [[nodiscard]] bool isOpen() const { return m_frame.has_value(); }

    [[nodiscard]] const Plan& plan() const { return m_plan; }
    [[nodiscard]] const std::shared_ptr<const Terrain>& terrain() const { return m_terrain; }
    [[nodiscard]] const Frame& frame() const { return *m_frame; } ///< only while open
    /// Where save() writes; empty: it has no file yet.
    [[nodiscard]] const std::filesystem::path& path() const { return m_path; }
    [[nodiscard]] bool readOnly() const { return m_readOnly; }
    [[nodiscard]] QString title() const; ///< the plan's name, or the file's

    /// Makes an edit and puts it on the history under its text. A nudge joins the step before when both touch
    /// the same items under the same text and it comes within two seconds. Refused by a sentence (also sent
    /// as refused()), the plan unchanged.
    Status perform(const Edit& edit, bool nudge = false);
    [[nodiscard]] QUndoStack& history() { return m_history; }

    /// Writes the plan; the history's state becomes the clean one.
    Status save();
    Status saveAs(const std::filesystem::path& file);

signals:
    void planReplaced();                        ///< adopt() or close(): everything is another
    void planChanged(const fw::PlanDiff& diff); ///< after an edit, undo or redo
    void refused(const QString& sentence);

private:
    friend class EditStep;
    Result<Edit> change(const Edit& edit);

    Plan m_plan;
    std::optional<Frame> m_frame;
    std::shared_ptr<const Terrain> m_terrain;
    std::filesystem::path m_path, m_origin; ///< `m_origin`: whose folder holds the terrain
    bool m_readOnly = false;
    QUndoStack m_history;
};

} // namespace fw
