// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "review/review.h"

#include <QTreeWidget>

#include <optional>
#include <set>
#include <vector>

namespace fw {

/// Mounts of a plan that carry a chosen small cell of the active variant, ascending: the sites of a pack.
std::vector<ItemId> packSites(const Plan& plan);

/// The chosen sites with a tick each, and the worst of their open findings by sign and word. Sites are ticked
/// until somebody takes the tick away; a site that comes later is ticked.
class PackSites : public QTreeWidget {
    Q_OBJECT
public:
    explicit PackSites(QWidget* parent = nullptr);

    /// @param review  null: not known yet
    void show(const Plan& plan, const Review* review);
    [[nodiscard]] std::vector<ItemId> ticked() const; ///< ascending
    [[nodiscard]] int siteCount() const { return topLevelItemCount(); }
    /// Ticks these and no others.
    void tickOnly(const std::vector<ItemId>& sites);
    void tickAll(bool on);

signals:
    void ticksChanged();

protected:
    void changeEvent(QEvent*) override;

private:
    /// @param open  how many; -1: not known
    void dress(QTreeWidgetItem* item, std::optional<Severity> worst, int open);
    void takeTick(QTreeWidgetItem* item);
    void putTicks();
    std::set<ItemId> m_left; ///< whose tick was taken away
    bool m_filling = false;
};

} // namespace fw
