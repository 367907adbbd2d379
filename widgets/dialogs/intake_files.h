// SPDX-License-Identifier: GPL-3.0-or-later
// The files somebody handed in, each with what is asked of it and what its preview says.
#pragma once

#include "document/workspace.h"
#include "intake/raster_intake.h"

#include <QObject>
#include <QString>

#include <optional>
#include <vector>

namespace fw {

struct IntakeFile {
    QString path;
    std::optional<IntakeKind> kind; ///< empty: not known yet, or nothing fits
    IntakeRequest request;          ///< what the user said of it
    std::vector<SourceLayer> layers;
    std::shared_ptr<const IntakePreview> preview; ///< of the plan and the request as they are
    bool raster = false;         ///< cells instead of rows: what follows instead of `preview`
    RasterRequest groundRequest; ///< what the user said of it
    std::shared_ptr<const RasterPreview> ground;
    QString trouble;     ///< why there is no preview
    bool taking = false; ///< a worker is at it
    bool taken = false;
    int takenAt = 0; ///< place in the history behind that step
};

/// Reads files on a worker, one after the other, and takes them into the plan as one step each. What is shown
/// always belongs to the plan as it is: after an edit previews are made anew. A raster is written beside the
/// plan's file, on a worker too, before the plan is told of it.
class IntakeFiles : public QObject {
    Q_OBJECT
public:
    explicit IntakeFiles(Workspace& space, QObject* parent = nullptr);
    ~IntakeFiles() override;

    /// Adds files behind those that are there; ones that are there already are read anew.
    void add(const QStringList& paths);
    void remove(int file);
    [[nodiscard]] const std::vector<IntakeFile>& files() const { return m_files; }
    /// Asks something else of a file; its preview is made anew.
    void change(int file, const IntakeRequest& request, std::optional<IntakeKind> kind);
    void changeGround(int file, const RasterRequest& request);
    /// Which file is looked at: it is read first.
    void setCurrent(int file);

    /// Takes a file's good rows in, or begins to take its cells in: taken() comes when that is done. Refused
    /// by a sentence where there is no usable preview, and for a raster where the plan has no file yet.
    Status takeIn(int file);
    /// There is something to take in, and nothing is asked.
    [[nodiscard]] bool ready(int file) const;

    [[nodiscard]] bool reading() const { return m_reading >= 0; }
    [[nodiscard]] bool taking() const { return !m_taking.isEmpty(); }
    /// Share of what runs, 0..1.
    [[nodiscard]] double progress() const;
    void stop();

signals:
    void listChanged();     ///< files came or went
    void changed(int file); ///< one of them says something else
    void taken(int file);

private:
    static inline const QString kTakingJob = QStringLiteral("take in");
    struct Read;
    struct Written;
    void readAnew(int file);
    Status takeRows(int file);
    void takeManyRows(int file);
    void manyRowsApplied(Outcome outcome, const QString& path, const IntakePreview& preview,
                         const std::shared_ptr<std::optional<Result<AppliedEdit>>>& made);
    Status takeGround(int file);
    void groundWritten(Outcome outcome, const Written& written);
    Status useGround(const Written& written);
    void beginTaking(int file);
    void whenStill(const std::function<void()>& then);
    void takenIn(int file);
    void notTaken(int file, const Error& why);
    void rememberMapping(const IntakePreview& preview);
    [[nodiscard]] int placeOf(const QString& path) const;
    void planChanged();
    void historyMoved(int index);
    void next();
    void readDone(Outcome outcome, const Read& read);
    [[nodiscard]] int waiting() const;

    Workspace& m_space;
    std::vector<IntakeFile> m_files;
    std::vector<bool> m_stale;
    int m_current = 0, m_reading = -1;
    std::uint64_t m_round = 0; ///< results of an earlier one are dropped
    QString m_taking;          ///< path of the file that is being taken in
    QString m_job;             ///< as the board calls what runs
    bool m_stopped = false;
};

} // namespace fw
