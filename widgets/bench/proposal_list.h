// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "document/ghost.h"
#include "document/workspace.h"
#include "siting/propose.h"

#include <QWidget>

#include <optional>

class QLabel;
class QListWidget;

namespace fw {

/// What clears a finding, searched on a worker and reviewed over the whole plan; best fit kept first.
class ProposalList : public QWidget {
    Q_OBJECT
public:
    explicit ProposalList(Workspace& space, QWidget* parent = nullptr);
    ~ProposalList() override;

    /// Shows itself and searches; what it searched for the same finding of the same state stays.
    void ask(const Finding& finding);
    /// Stops the search, forgets and hides.
    void drop();

    [[nodiscard]] bool searching() const { return m_searching; }
    /// The one in hand; empty while there is none.
    [[nodiscard]] std::optional<Proposal> current() const;
    [[nodiscard]] Ghosts ghosts() const; ///< of the one in hand
    [[nodiscard]] std::optional<Working> working() const;
    [[nodiscard]] QString stateText() const; ///< over the list
    [[nodiscard]] QListWidget& list() const { return *m_list; }

signals:
    void currentChanged();
    void takeWanted();
    void closeWanted();

protected:
    bool eventFilter(QObject* watched, QEvent* event) override;
    void changeEvent(QEvent* event) override;

private:
    void found(Result<Proposals> proposals);
    void fitHeight();

    Workspace& m_space;
    QLabel* m_state;
    QListWidget* m_list;
    std::optional<Finding> m_finding;
    std::vector<Proposal> m_proposals;
    bool m_searching = false;
    int m_search = 0; ///< counts: an older search may end while the next one runs
};

} // namespace fw
