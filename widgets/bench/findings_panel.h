// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "document/ghost.h"
#include "document/workspace.h"
#include "plan/items.h"

#include <QWidget>

#include <memory>
#include <optional>

class QListView;
class QPushButton;
class QLineEdit;

namespace fw {

class ProposalList;

/// Findings about what is chosen, or all of them: where they are, what clears them, and why they stay.
class FindingsPanel : public QWidget {
    Q_OBJECT
public:
    explicit FindingsPanel(Workspace& space, QWidget* parent = nullptr);
    ~FindingsPanel() override;

    /// The current finding; empty when there is none.
    [[nodiscard]] std::optional<Finding> current() const;
    [[nodiscard]] QListView& list() const;
    /// "2 of 7 open".
    [[nodiscard]] QString countText() const;
    /// Whether proposals are looked for or shown.
    [[nodiscard]] bool proposing() const;
    [[nodiscard]] ProposalList& proposals() const;
    /// What refuses an entry, in place; empty when nothing does.
    [[nodiscard]] QString message() const;

public slots:
    /// The open finding after or before the current one, of the whole plan: chosen and gone to.
    void next();
    void previous();
    /// To the current finding's place.
    void go();
    /// Shows the nearest remedy as a ghost at once, looks for all that clears the finding, and shows the one
    /// in hand; or takes it all away again.
    void propose(bool on);
    /// Makes the proposal in hand, or else the remedy, one step of the history.
    void take();
    /// Opens the line for the reason.
    void standBecauseAsked();
    /// Takes the reason away; the finding is open again.
    void reopen();
    void copy();

signals:
    void goTo(fw::PlanePoint place, fw::ItemId subject);
    void proposed(fw::Ghosts ghosts); ///< empty: no ghost any more
    void workingWanted(fw::Working working);

protected:
    void resizeEvent(QResizeEvent*) override;
    void changeEvent(QEvent*) override;
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace fw
