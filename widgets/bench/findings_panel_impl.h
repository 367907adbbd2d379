// SPDX-License-Identifier: GPL-3.0-or-later
// Private to the findings panel.
#pragma once

#include "bench/finding_cells.h"
#include "bench/findings_panel.h"
#include "bench/proposal_list.h"
#include "models/findings_model.h"

#include <QCheckBox>
#include <QLabel>
#include <QLineEdit>
#include <QListView>
#include <QPushButton>
#include <QStackedLayout>
#include <QToolButton>

namespace fw {

struct FindingsPanel::Impl {
    Impl(FindingsPanel& o, Workspace& w) : owner(o), space(w) {}

    void build();
    QLayout* makeHead();
    QLayout* makeActions();
    QWidget* makeReason();
    QWidget* makeDetails();
    void connectAll();

    [[nodiscard]] const Finding* current() const;
    void follow();      ///< rows have followed
    void showCurrent(); ///< buttons, details, counter
    void showDetails(const Finding* f);
    void showRemedy(const Finding* f);
    void step(int by);
    void goTo(const Finding& f);
    void keep();
    void say(const QString& sentence);
    void closeReason();
    void showGhosts(Ghosts wanted);
    void takeEdit(const Edit& edit);
    void dropGhost(); ///< and the proposals
    void look();

    FindingsPanel& owner;
    Workspace& space;
    FindingsModel* model = nullptr;
    QListView* list = nullptr;
    FindingCells* cells = nullptr;
    QStackedLayout* stack = nullptr;
    QLabel *title = nullptr, *count = nullptr, *empty = nullptr, *message = nullptr;
    QToolButton *back = nullptr, *forth = nullptr, *details = nullptr;
    QPushButton *propose = nullptr, *take = nullptr, *stands = nullptr, *reopen = nullptr;
    QWidget *reasonBox = nullptr, *detailBox = nullptr;
    QLineEdit *reason = nullptr, *who = nullptr;
    ProposalList* proposals = nullptr;
    QLabel* detailText = nullptr;
    QToolButton* working = nullptr;
    std::optional<Finding> cursor;    ///< the finding in hand, even while it is gone for a frame
    std::optional<Finding> reasonFor; ///< what the open line is about
    bool following = false, ghost = false, proposing = false;
};

} // namespace fw
