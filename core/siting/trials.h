// SPDX-License-Identifier: GPL-3.0-or-later
// Changes worth trying against a finding. Private to core/siting.
#pragma once

#include "review/rule.h"
#include "siting/propose.h"

namespace fw {

/// One change to be tried.
struct Trial {
    ProposalKind kind = ProposalKind::turn;
    std::vector<Radio> radios;  ///< as they would be
    std::optional<Mount> mount; ///< as it would be
    double change = 0;
    std::string text, consent;
};

/// What a finding is about, and what can be changed about it. For one thread; study and finding outlive it.
class Trials {
public:
    Trials(const Study& study, const Finding& finding, const ProposeOptions& options);

    /// Ascending by change; `why` says why there are none.
    [[nodiscard]] std::vector<Trial> of(ProposalKind kind, std::string& why) const;
    [[nodiscard]] const std::vector<Radio>& radios() const { return m_radios; } ///< that may be turned
    [[nodiscard]] const std::vector<ItemId>& smalls() const { return m_smalls; }

private:
    bool locked(const Radio& radio, std::string& why) const;
    [[nodiscard]] std::vector<Trial> turns(std::string& why) const;
    [[nodiscard]] std::vector<Trial> tilts(std::string& why) const;
    [[nodiscard]] std::vector<Trial> bothTurns(std::string& why) const;
    [[nodiscard]] std::vector<Trial> heights() const;
    [[nodiscard]] std::vector<Trial> shifts(std::string& why) const;
    [[nodiscard]] std::vector<Trial> otherMounts(std::string& why) const;

    const Study& m_study;
    ProposeOptions m_options;
    const Rule* m_rule = nullptr;
    std::vector<Radio> m_radios;  ///< ascending
    std::vector<Mount> m_mounts;  ///< that carry them or are named, ascending
    std::vector<ItemId> m_smalls; ///< small cells on those radios, ascending
};

} // namespace fw
