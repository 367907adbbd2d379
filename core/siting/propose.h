// SPDX-License-Identifier: GPL-3.0-or-later
// Changes that clear a finding of the review, tried in full: each is reviewed over the whole plan before it
// is shown. Conflicts of identities are left to the identity plan: they come last, and numbers clear them.
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "base/working.h"
#include "plan/edit.h"
#include "review/review.h"

#include <optional>
#include <string>
#include <vector>

namespace fw {

enum class ProposalKind : std::uint8_t {
    turn,       ///< one radio to another azimuth
    tilt,       ///< to another tilt of its bracket
    turnBoth,   ///< the two radios of a pair
    height,     ///< of the mount, within the window of the rule profile
    shift,      ///< the mount along its wall or edge, on its roof, or about its foot
    otherMount, ///< the radio to a free mount nearby
};
const char* wordFor(ProposalKind kind); ///< "turn", "tilt", "turn both", "height", "shift", "other mount"

struct ProposeOptions {
    double shiftM = 20;       ///< a mount moves at most so far [own]
    double otherMountM = 150; ///< another mount is looked for so far off [own]
};

/// One change that clears the finding.
struct Proposal {
    ProposalKind kind = ProposalKind::turn;
    std::string text;   ///< "Turn S-104a by 24 deg to 214 deg true"
    Edit edit;          ///< all of it, one step of the history
    double change = 0;  ///< how much: deg for turn and tilt (the sum for both), else m
    double fitKept = 0; ///< lowest fit of the small cells concerned, after
    double fitBefore = 0;
    int warnings = 0;    ///< open warnings more than before, in the whole plan; fewer when negative
    std::string consent; ///< what the owner has to be asked again; empty: nothing
    /// Where the radios concerned would stand and look.
    struct Ghost {
        ItemId radio;
        PlanePoint at;
        TrueAzimuth azimuth;
        double tiltDeg = 0;
    };
    std::vector<Ghost> ghosts;
};

struct Proposals {
    std::vector<Proposal> list; ///< by fit kept, best first; of equal ones the smaller change
    /// What was tried, in the order of the kinds.
    struct Tried {
        ProposalKind kind = ProposalKind::turn;
        int trials = 0, cleared = 0;
        std::string why; ///< where none was made or none clears it: a sentence
    };
    std::vector<Tried> tried;
    /// "Nothing clears it: 71 turns, 3 tilts ... were tried." Empty where something does.
    std::string nothing;
};

/// Of each kind the smallest change, and the one that keeps most fit where that is another. A proposal clears
/// the finding (of a warning or block nothing graver than a note is left, and no other of its rule arises
/// about what is changed), makes no blocking finding anywhere in the plan that was not there, and makes
/// nothing worse that stands with a reason. A mount stays where its owner's consent was given for, and one
/// whose owner refused is not taken. Long (up to a second or two): for a worker.
/// @param review   of the whole study; remedies do not matter
/// @param finding  of that review. One that is not in it is refused. Cancelled: Error cancelled.
Result<Proposals> proposalsFor(const std::shared_ptr<const Study>& study, const Review& review,
                               const Finding& finding, const ProposeOptions& options = {},
                               const Job& job = {});

/// What the proposal rests on.
Working workingOf(const Proposal& proposal, const Finding& finding);

} // namespace fw
