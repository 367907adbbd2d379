// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "review/rule.h"

namespace fw {

/// The rules that can block and that a turn or tilt of one radio can clear, asked of it as it would stand.
/// For one thread; the study outlives it.
class TurnedRadio {
public:
    /// @param radio  of the study's plan; one that is not there is never blocked.
    TurnedRadio(const Study& study, ItemId radio);

    /// What blocks, with its standing, cheap rules first; without remedies.
    /// @param turned   the radio with another azimuth or tilt.
    /// @param overlay  the study of it, where the caller has one already; null: made when a rule asks.
    /// @param first    the first one is enough.
    [[nodiscard]] std::vector<Finding>
    blocking(const Radio& turned, std::shared_ptr<const Study> overlay = nullptr, bool first = false) const;

private:
    struct Asked {
        const Rule* rule;
        Subjects tuple;
    };
    const Study& m_study;
    Limits m_limits;
    Neighbours m_near;
    std::vector<Asked> m_asked;
};

} // namespace fw
