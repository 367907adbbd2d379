// SPDX-License-Identifier: GPL-3.0-or-later
// What a cell's users get, beside how full it is: a macro's before small cells and after, and a small cell's.
#pragma once

#include "base/job.h"
#include "base/working.h"
#include "study/study.h"

namespace fw {

/// What one user gets who asks for all that is free.
struct UserRate {
    double sinrDb = 0;     ///< of the user, shadowing in; to 0.1 dB
    double efficiency = 0; ///< bit/s/Hz, ModelTables::efficiency
    double mbps = 0;       ///< free share of the downlink's PRB x what they carry at that efficiency
};

/// Half of the users, and five of a hundred, get no more than this.
struct UserRatePair {
    UserRate median, low;
};

struct UserRates {
    ItemId cell;
    double useBefore = 0, useAfter = 0; ///< of the ledger
    double perEfficiencyMbps = 0; ///< all PRB of the cell at 1 bit/s/Hz, downlink's share of time counted
    UserRatePair before;
    std::optional<UserRatePair> after; ///< of those that stay; empty where nobody does
    double stay = 1;                   ///< their share, by bits
};

/// By macro cell with a measured use that serves demand, ascending by id.
///
/// A user is a bit of the cell's busy-hour demand, as the cost map spreads it over receivers (Study), with
/// the macro's shadowing at the five points of ModelTables: quantiles are weighted by bits, so that they say
/// what a bit of the busy hour sees, as a drive test over the demand would. What the user gets is the free
/// share of PRB times bits per PRB (one stream): one more user beside those that make the use. After, those
/// that stay are weighed by the share that stays at each point, with the interference that they then hear and
/// the use of the ledger; those that small cells take are not in it. @param ledger  live or settled, of this
/// study: loads, biases and powers are what it says. The same bytes for any number of threads. Stopped:
/// empty. Source: efficiency as ModelSettings chooses it; the definition of what a user gets is our own
/// judgement.
std::vector<UserRates> userRates(const Study& study, const Ledger& ledger, unsigned threads = 0,
                                 const Job& job = {});

/// Of those that a chosen small cell takes, at it.
struct SmallRates {
    ItemId small;
    double use = 0;               ///< of the ledger, its cap where it would be over
    double perEfficiencyMbps = 0; ///< as UserRates
    UserRatePair now;
};

/// By chosen small cell that takes anybody, ascending by id. As userRates(): users are bits of the macros'
/// busy hour, at each point by the share that it takes, their SINR at the small cell given that they moved
/// (two points for its shadowing), the small cell's own free PRB. Stopped: empty.
std::vector<SmallRates> smallRates(const Study& study, const Ledger& ledger, unsigned threads = 0,
                                   const Job& job = {});

/// The steps to the median or to that of five in a hundred; the last step is what it is after, or before
/// where nobody stays.
Working workingOfRates(const Study& study, const UserRates& rates, bool median);

/// The same at a small cell.
Working workingOfRates(const Study& study, const SmallRates& rates, bool median);

/// Of one cell; null where there is none.
const SmallRates* ratesOf(const std::vector<SmallRates>& all, ItemId small);
const UserRates* ratesOf(const std::vector<UserRates>& all, ItemId cell);

} // namespace fw
