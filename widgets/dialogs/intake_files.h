// SPDX-License-Identifier: GPL-3.0-or-later
// The files somebody handed in, each with what is asked of it and what its preview says.
#pragma once

#include "document/workspace.h"
#include "intake/preview.h"

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
    QString trouble;                              ///< why there is no preview
    bool taken = false;
    int takenAt = 0; ///< place in the history behind that step
};

/// Reads files on a worker, one after the other, and takes them into the plan as one step each. What is shown
/// always belongs to the plan as it is: after an edit previews are made anew.
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
    /// Which file is looked at: it is read first.
    void setCurrent(int file);

    /// Takes a file's good rows in. Refused by a sentence where there is no usable preview.
    Status takeIn(int file);

    [[nodiscard]] bool reading() const { return m_reading >= 0; }
    void stop();

signals:
    void listChanged();     ///< files came or went
    void changed(int file); ///< one of them says something else
    void taken(int file);

private:
    struct Read;
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
    bool m_stopped = false;
};

} // namespace fw
