// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/result.h"
#include "document/ghost.h"
#include "document/workspace.h"
#include "siting/choice_edit.h"

#include <QObject>
#include <QString>

#include <memory>

namespace fw {

/// What came of a search.
struct ChoiceResult {
    std::shared_ptr<const Study> study; ///< chosen on
    ChoiceAsk ask;
    CostTable costs;
    PlannedChoice planned;
    double seconds = 0;
};

/// A set of mounts chosen on a worker, with its curve as it goes; put into the plan on the user's word.
class ChoiceRun : public QObject {
    Q_OBJECT
public:
    explicit ChoiceRun(Workspace& space, QObject* parent = nullptr);
    ~ChoiceRun() override;

    /// Drops what was found before and searches.
    void start(const ChoiceAsk& ask, const CostTable& costs);
    /// Ends the search; what it found so far becomes the result.
    void stop();
    [[nodiscard]] bool running() const { return m_running; }
    [[nodiscard]] double share() const { return m_share; } ///< of the work, 0..1
    [[nodiscard]] const QString& step() const { return m_step; }

    /// Of the search that runs, or of the result.
    [[nodiscard]] const std::vector<ChoicePoint>& curve() const { return m_curve; }
    /// 1 for the first; each further one leaves out what the full model had against the one before.
    [[nodiscard]] int search() const { return m_search; }
    [[nodiscard]] const ChoiceAsk& ask() const { return m_ask; } ///< of curve()
    [[nodiscard]] const CostTable& costs() const { return m_costs; }
    [[nodiscard]] const std::shared_ptr<const ChoiceResult>& result() const { return m_result; }
    /// Why there is no result; empty while there is nothing to say.
    [[nodiscard]] const QString& trouble() const { return m_trouble; }
    /// The plan is still the one that was chosen on.
    [[nodiscard]] bool current() const { return m_current; }
    /// What was last put into the plan from result(), until that is undone: "applied", or a variant's name.
    [[nodiscard]] const QString& putIn() const { return m_putIn; }
    /// The new ones of the result as they would stand; empty once they do, or the plan is another.
    [[nodiscard]] Ghosts ghosts() const;

    /// Puts the set into the active variant as one step. Refused by a sentence.
    Status apply();
    /// Makes a new variant of it as one step; the active one stays as it is. Refused by a sentence.
    Status asVariant(const QString& name);

    static const QString& jobKey();

signals:
    void changed();
    void curveChanged();
    void resultChanged(); ///< result() or ghosts() are others

private:
    struct Live;
    void takePoints();
    void done(Outcome outcome, const std::shared_ptr<Live>& live);
    void planChanged();
    void drop();
    [[nodiscard]] Status mayPutIn() const;

    Workspace& m_space;
    ChoiceAsk m_ask;
    CostTable m_costs;
    std::shared_ptr<Live> m_live; ///< of the search that runs
    std::shared_ptr<const ChoiceResult> m_result;
    std::vector<ChoicePoint> m_curve;
    QString m_trouble, m_step, m_putIn;
    double m_share = 0;
    int m_search = 0;
    bool m_running = false, m_current = false;
};

} // namespace fw
