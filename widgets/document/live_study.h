// SPDX-License-Identifier: GPL-3.0-or-later
// What the computation says about the open plan, kept up to date: at once while something is dragged, on a
// worker after every edit.
#pragma once

#include "document/plan_document.h"
#include "jobs/job_board.h"
#include "review/review.h"
#include "study/fit.h"
#include "study/study.h"

#include <QObject>
#include <QTimer>

#include <map>
#include <memory>
#include <optional>

namespace fw {

class LiveStudy : public QObject {
    Q_OBJECT
public:
    LiveStudy(PlanDocument& document, JobBoard& jobs, QObject* parent = nullptr);
    ~LiveStudy() override;

    /// The study of the plan or, while something is dragged, of the plan as it would be. Null until first
    /// computed.
    [[nodiscard]] const std::shared_ptr<const Study>& study() const { return m_shown; }
    /// Findings of study(). While dragging (and until the next computation) those of the moved one have no
    /// remedy, and those about identities are of the plan as it rests.
    [[nodiscard]] const Review& review() const { return m_review; }
    /// Live while dragging and until settled.
    [[nodiscard]] const Ledger* ledger() const;
    /// The settled ledger of the plan; null while it is not there.
    [[nodiscard]] const Ledger* settled() const { return m_settled ? &*m_settled : nullptr; }
    /// Fit of a small cell in study(), kept until study() changes; empty when it is not part of it.
    [[nodiscard]] std::optional<Fit> fit(ItemId small) const;

    [[nodiscard]] bool stale() const { return m_stale; }       ///< the plan has changed since
    [[nodiscard]] bool settling() const { return m_settling; } ///< the settled ledger is on its way
    [[nodiscard]] bool dragging() const { return m_dragging; }
    /// What is dragged, as considered last; null unless dragging.
    [[nodiscard]] const Hypothesis* considered() const { return m_considered.get(); }
    /// Of the plan as it was when it was last computed, whatever is dragged; null until then.
    [[nodiscard]] const std::shared_ptr<const Study>& computedStudy() const { return m_computed; }

    /// A button went down on one mount or radio: other work rests. Evaluations follow at once by consider().
    void beginDrag();
    /// What a part will draw of every frame of a drag, computed while the totals are made instead of after
    /// them. `make` is called for each overlay, here, and returns the work, or nothing; the work runs on some
    /// thread while this one waits, and asks the overlay for anything but totals (Study::prepare). It ends
    /// before shownChanged() of that frame. Until `owner` is destroyed.
    using Ahead = std::function<std::function<void()>(const std::shared_ptr<const Study>&)>;
    void computeAhead(const QObject* owner, Ahead make);
    /// The plan as it would be. Synchronous, about 4 to 8 ms; false where it cannot be shown (a channel
    /// outside its band, no study yet): the drag goes on without figures.
    bool consider(const Hypothesis& what);
    /// The button is up or the drag was left. Until the computation for the edit that the caller makes is
    /// there, what was considered last stays in view; without an edit (`kept` false) the plan's own comes
    /// back.
    void endDrag(bool kept);

    /// The item whose findings get remedies; they come when found (shownChanged()).
    void setFocus(ItemId item);

    /// Stops computing; what is shown stays, marked stale.
    void cancel();
    /// Computes again after a cancel or a failure.
    void computeNow();

signals:
    void shownChanged();   ///< study(), review(), ledger(), fit() may differ
    void settledChanged(); ///< settled() or settling()
    void stateChanged();   ///< stale()
    void failed(const QString& sentence);

private:
    void planReplaced();
    void planChanged();
    void compute();
    void settleNow();
    void computed(std::shared_ptr<const Study> study, Review review);
    void showComputed();
    void findRemedies();
    void takeRemedies(const Review& found);
    void show(std::shared_ptr<const Study> study, Review review);
    void setStale(bool stale);
    void setSettling(bool settling);

    PlanDocument& m_document;
    JobBoard& m_jobs;
    std::shared_ptr<const Study> m_computed, m_shown; ///< of a plan as it is; what is in view
    Review m_computedReview, m_review;
    std::optional<Ledger> m_settled;
    mutable std::map<ItemId, Fit> m_fits;
    std::shared_ptr<const Study> m_lastFrame; ///< overlay of the frame before
    std::shared_ptr<const Study> m_goneFrame; ///< the one before that: freeing it is left to the crew
    std::unique_ptr<Hypothesis> m_considered; ///< of the drag, for a computation that comes in meanwhile
    std::vector<std::pair<const QObject*, Ahead>> m_ahead;
    Crew m_crew;      ///< for the frames of a drag, while other work rests
    QTimer m_painted; ///< runs out once what a frame changed is on the screen
    ItemId m_focus;
    bool m_stale = false, m_settling = false, m_dragging = false;
    bool m_wanted = false;  ///< the plan changed while it was computed
    bool m_unshown = false; ///< computed during a drag, not yet in view
};

} // namespace fw
