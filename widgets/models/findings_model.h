// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "review/finding.h"

#include <QAbstractListModel>

#include <vector>

namespace fw {

/// Findings of the review in view, open ones first, then by severity; those that stand and reasons without a
/// finding come last. Follows a drag row by row: what stays, stays where it is.
class FindingsModel : public QAbstractListModel {
    Q_OBJECT
public:
    enum Role { SubjectRole = Qt::UserRole }; ///< quint32 of the first subject

    explicit FindingsModel(Workspace& space, QObject* parent = nullptr);

    int rowCount(const QModelIndex& parent = {}) const override;
    QVariant data(const QModelIndex& index, int role) const override;

    [[nodiscard]] const Finding& at(int row) const { return m_rows[static_cast<std::size_t>(row)].finding; }
    /// The row of a finding by rule and subjects, whatever it measures; -1: none.
    [[nodiscard]] int rowLike(const Finding& finding) const;
    /// Whether it lists everything, for nothing is chosen.
    [[nodiscard]] bool all() const { return m_all; }

    /// Open findings of the whole review, in the order that next and previous go.
    [[nodiscard]] std::vector<Finding> openFindings() const;

signals:
    void following(); ///< rows are about to follow
    void followed();  ///< after rows have followed the review or the selection

private:
    struct Row {
        int group = 0, rule = 0;
        Finding finding;
        [[nodiscard]] bool before(const Row& o) const;
        [[nodiscard]] bool samePlace(const Row& o) const;
    };
    [[nodiscard]] static Row rowOf(const Finding& finding);
    [[nodiscard]] std::vector<ItemId> about() const;
    void follow();

    Workspace& m_space;
    std::vector<Row> m_rows;
    bool m_all = true;
};

/// Items that findings about a selected item may name: what hangs on it and what it hangs on.
std::vector<ItemId> relatedTo(const Plan& plan, ItemId item);
bool sameFinding(const Finding& a, const Finding& b); ///< rule and subjects

} // namespace fw
