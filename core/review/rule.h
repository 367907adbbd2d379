// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "plan/snapshot.h"
#include "review/finding.h"
#include "review/identity_net.h"
#include "review/limits.h"
#include "review/neighbours.h"
#include "study/study.h"

#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace fw {

/// Ids a rule looks at together, in its own order.
using Subjects = std::vector<ItemId>;

/// What a rule sees of a study. It can also show one radio turned or tilted (the search for a remedy): then
/// cell() and radio() give the turned one at once, and numbers() costs an overlay, made when first asked for.
/// For one thread.
class RuleView {
public:
    RuleView(const Study& study, const Limits& limits, const Neighbours& near)
        : m_study(study), m_limits(limits), m_near(near) {}
    /// The same with `radio` (of the plan, with another azimuth or tilt) in place of the one with its id.
    /// @param overlay  the study of that, where there is one already.
    [[nodiscard]] RuleView with(const Radio& radio, std::shared_ptr<const Study> overlay = nullptr) const;

    /// For what no turn changes: the plan's names, mounts, sight, macro levels, surface.
    [[nodiscard]] const Study& study() const { return m_study; }
    [[nodiscard]] const Plan& plan() const { return m_study.plan(); }
    [[nodiscard]] const Limits& limits() const { return m_limits; }
    [[nodiscard]] const Neighbours& near() const { return m_near; }
    /// For everything else: levels and shares of the small cells.
    [[nodiscard]] const Study& numbers() const;

    /// Who is whose neighbour, with identities (reviewNetOf). Made when first asked for, unless it was set.
    [[nodiscard]] const IdentityNet& identities() const;
    void setIdentities(std::shared_ptr<const IdentityNet> net) { m_net = std::move(net); }

    /// A small cell of the study as it is turned here.
    [[nodiscard]] SmallCellPart cell(ItemId small) const;
    /// A radio of the plan as it is turned here.
    [[nodiscard]] Radio radio(ItemId radio) const;
    [[nodiscard]] std::string name(ItemId id) const { return plan().label(id); }
    /// "macro site M-3"; a label that says its kind already stays as it is.
    [[nodiscard]] std::string called(const char* kind, ItemId id) const;

private:
    const Study& m_study;
    const Limits& m_limits;
    const Neighbours& m_near;
    std::optional<Radio> m_turned;
    mutable std::shared_ptr<const Study> m_overlay;
    mutable std::shared_ptr<const IdentityNet> m_net;
};

/// What differs between two studies of which one follows the other by edits of mounts, radios and small
/// cells.
struct ReviewChange {
    /// Changed mounts, radios and small cells with all that hangs on them and all they hang on, as they were
    /// and as they are; ascending. A tuple that holds one of these is touched.
    std::vector<ItemId> items;
    /// Of those, what there is now to review, ascending.
    std::vector<ItemId> smalls, radios, mounts;
    /// Chosen small cells of either study whose relief differs, ascending.
    std::vector<ItemId> relieved;
};

/// A rule knows no screen and no other rule.
struct Rule {
    std::string id;        ///< stable, in files and waivers
    std::string title;     ///< for people
    std::string why;       ///< one sentence
    bool turnable = false; ///< true: another azimuth may clear it
    bool blocks = true;    ///< false: it never finds worse than a warning
    /// True: check() mostly asks for numbers(); the search for a remedy leaves it to last.
    bool heavy = false;
    /// True: it is about numbers that cells are given, not about places. What it finds at one cell may hang
    /// on every other, so it is looked at whole or not at all (ReviewOptions::identities; touched() is not
    /// asked). Another number clears it, so it makes no mount or radio unfit (Review::blocked).
    bool ofIdentity = false;
    /// How much worse a kept finding may measure before its reason no longer holds, by unit of what is
    /// measured: about what repeated surveys and small moves of the plan scatter [own judgement].
    std::vector<Quantity> slack;
    /// All tuples the rule looks at. What it lists does not depend on azimuths and tilts.
    std::function<std::vector<Subjects>(const RuleView&)> all;
    /// Of them, at least those whose outcome may differ after the change.
    std::function<std::vector<Subjects>(const RuleView&, const ReviewChange&)> touched;
    /// One tuple; empty when all is well. The finding's subjects are the tuple.
    std::function<std::optional<Finding>(const RuleView&, const Subjects&)> check;
    /// For turnable rules, may be left out: true when no azimuth within `halfDeg` of `azimuthDeg` (true)
    /// clears the rule for a radio. It saves the search for a remedy from trying them one by one.
    std::function<bool(const RuleView&, const Radio&, double azimuthDeg, double halfDeg)> hopeless;
    /// What clears it where turning is not the answer; may be left out.
    std::function<std::optional<Remedy>(const RuleView&, const Finding&)> remedy;
};

/// The explicit table, in display order.
const std::vector<Rule>& rules();

} // namespace fw
