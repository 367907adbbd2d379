// SPDX-License-Identifier: GPL-3.0-or-later
// Channels and bandwidths that do not exist, and powers that no macro has: total power below 30 or above 55
// dBm, reference power per resource element below 0 or above 33 dBm, or 10 dB and more off what an even split
// of the total power gives. Source: radio/carrier.h for channels (3GPP TS 36.104, TS 38.104); own judgement
// for powers.
#include "base/log_exp.h"
#include "intake/audit/view.h"
#include "radio/carrier.h"
#include "radio/link_budget.h"

#include <array>
#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

constexpr int kFirstLteUplink = 18000;
constexpr double kLeastTotalDbm = 30, kMostTotalDbm = 55, kLeastReferenceDbm = 0, kMostReferenceDbm = 33;
constexpr double kOddsDb = 10;
constexpr const char* kBandSource = "3GPP TS 36.104, table 5.7.3-1; TS 38.104, table 5.4.2.3-1";
constexpr const char* kWidthSource = "3GPP TS 36.104, table 5.6-1; TS 38.104, table 5.3.2-1";

const char* wordOf(Technology t) { return t == Technology::lte ? "LTE" : "NR"; }

// What people enter in place of a downlink channel: the uplink's, or that of the other technology.
void mendChannel(const AuditView& view, const Cell& c, AuditFinding& f) {
    const std::string name = view.name(c.id);
    Cell mended = c;
    const int channel = c.carrier.channel;
    if (c.carrier.technology == Technology::lte && channel >= kFirstLteUplink &&
        lteUplinkChannelFrequency(channel).ok() &&
        downlinkFrequency(Technology::lte, channel - kFirstLteUplink).ok()) {
        mended.carrier.channel = channel - kFirstLteUplink;
        f.proposal =
            fmt::format("{} is an uplink channel; its downlink is {}.", channel, mended.carrier.channel);
        f.edit = putting(fmt::format("Set the channel of {} to {}", name, mended.carrier.channel), mended);
        return;
    }
    mended.carrier.technology = c.carrier.technology == Technology::lte ? Technology::nr : Technology::lte;
    if (downlinkFrequency(mended.carrier.technology, channel).ok() &&
        resourceBlocks(mended.carrier.technology, c.carrier.bandwidthMHz, c.carrier.scsKHz).ok()) {
        f.proposal = fmt::format("Channel {} is one of {} ({}); make {} a cell of it.", channel,
                                 wordOf(mended.carrier.technology),
                                 bandName(mended.carrier.technology, channel), name);
        f.edit =
            putting(fmt::format("Make {} a cell of {}", name, wordOf(mended.carrier.technology)), mended);
        return;
    }
    f.proposal = fmt::format("Look up the downlink channel of {}.", name);
}

// The widest carrier that exists and is no wider, else the narrowest that exists.
std::optional<double> nearestWidth(const Carrier& c) {
    constexpr std::array kWidths{1.4,  3.0,  5.0,  10.0, 15.0, 20.0, 25.0, 30.0,
                                 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0};
    std::optional<double> best;
    for (const double w : kWidths) {
        if (!resourceBlocks(c.technology, w, c.scsKHz).ok()) continue;
        if (w <= c.bandwidthMHz || !best) best = w;
    }
    return best;
}

AuditFinding overEdge(const AuditView& view, const Cell& c, const std::string& why) {
    AuditFinding f;
    f.subjects = {c.id};
    f.measured = {static_cast<double>(c.carrier.channel), ""};
    f.limit = {c.carrier.bandwidthMHz, "MHz"};
    f.source = kBandSource;
    f.text = fmt::format("{}: {}", view.name(c.id), why);
    f.proposal = fmt::format("Look up channel and bandwidth of {}.", view.name(c.id));
    return f;
}

struct Doubt {
    std::string text;
    Quantity measured, limit;
    std::string proposal;
    std::optional<Cell> mended;
};

// The total power read as watts, where that is a macro's.
std::optional<double> fromWatts(double value) {
    if (value < 1) return {};
    const double dbm = std::round((30 + decibels(value)) * 10) / 10;
    if (dbm < kLeastTotalDbm || dbm > kMostTotalDbm) return {};
    return dbm;
}

std::optional<Doubt> doubtTotal(const std::string& name, const Cell& c) {
    const double p = *c.totalPowerDbm;
    if (p >= kLeastTotalDbm && p <= kMostTotalDbm) return {};
    Doubt d{fmt::format("{} sends {:.1f} dBm in all.", name, p),
            {p, "dBm"},
            {p < kLeastTotalDbm ? kLeastTotalDbm : kMostTotalDbm, "dBm"},
            fmt::format("Look up the power of {}.", name),
            {}};
    if (const auto dbm = fromWatts(p)) {
        d.proposal = fmt::format("{:g} W are {:.1f} dBm; take these.", p, *dbm);
        d.mended = c;
        d.mended->totalPowerDbm = *dbm;
    }
    return d;
}

std::optional<Doubt> doubtReference(const std::string& name, const Cell& c) {
    const double p = *c.referencePowerDbm;
    const bool outside = p < kLeastReferenceDbm || p > kMostReferenceDbm;
    const auto blocks = resourceBlocks(c.carrier.technology, c.carrier.bandwidthMHz, c.carrier.scsKHz);
    const bool compared = c.totalPowerDbm && *c.totalPowerDbm >= kLeastTotalDbm &&
                          *c.totalPowerDbm <= kMostTotalDbm && blocks.ok();
    const double even =
        compared ? referenceSignalPerPort({*c.totalPowerDbm}, *blocks, std::max(1, c.ports)).v : p;
    if (!outside && std::fabs(p - even) < kOddsDb) return {};
    Doubt d;
    d.measured = {outside ? p : std::fabs(p - even), outside ? "dBm" : "dB"};
    d.limit = outside ? Quantity{p < kLeastReferenceDbm ? kLeastReferenceDbm : kMostReferenceDbm, "dBm"}
                      : Quantity{kOddsDb, "dB"};
    d.text = fmt::format("{} sends {:.1f} dBm a resource element", name, p);
    d.text += compared ? fmt::format("; {:.1f} dBm in all give {:.1f} dBm.", *c.totalPowerDbm, even) : ".";
    d.proposal = fmt::format("Look up the reference-signal power of {}.", name);
    if (compared) {
        d.proposal += " Until then compute with the total power.";
        d.mended = c;
        d.mended->referencePowerDbm.reset();
    }
    return d;
}

} // namespace

void checkChannels(const AuditView& view, AuditFindings& out) {
    for (const Cell& c : view.plan().cells) {
        const auto f = downlinkFrequency(c.carrier.technology, c.carrier.channel);
        if (f.ok()) {
            const bool exists =
                resourceBlocks(c.carrier.technology, c.carrier.bandwidthMHz, c.carrier.scsKHz).ok();
            if (const Status s = carrierFits(c.carrier.technology, c.carrier.channel, c.carrier.bandwidthMHz);
                exists && !s.ok())
                out.push_back(overEdge(view, c, s.error().text));
            continue;
        }
        AuditFinding finding;
        finding.severity = Severity::block;
        finding.subjects = {c.id};
        finding.measured = {static_cast<double>(c.carrier.channel), ""};
        finding.source = kBandSource;
        finding.text = fmt::format("{}: {}", view.name(c.id), f.error().text);
        mendChannel(view, c, finding);
        out.push_back(std::move(finding));
    }
}

void checkBandwidths(const AuditView& view, AuditFindings& out) {
    for (const Cell& c : view.plan().cells) {
        const auto blocks = resourceBlocks(c.carrier.technology, c.carrier.bandwidthMHz, c.carrier.scsKHz);
        if (blocks.ok()) continue;
        const std::string name = view.name(c.id);
        AuditFinding f;
        f.severity = Severity::block;
        f.subjects = {c.id};
        f.measured = {c.carrier.bandwidthMHz, "MHz"};
        f.source = kWidthSource;
        f.text = fmt::format("{}: {}", name, blocks.error().text);
        f.proposal = fmt::format("Look up the bandwidth of {}.", name);
        if (const auto width = nearestWidth(c.carrier)) {
            Cell mended = c;
            mended.carrier.bandwidthMHz = *width;
            f.limit = {*width, "MHz"};
            f.proposal += fmt::format(" Until then compute with {:g} MHz.", *width);
            f.edit = putting(fmt::format("Set the bandwidth of {} to {:g} MHz", name, *width), mended);
        }
        out.push_back(std::move(f));
    }
}

void checkPower(const AuditView& view, AuditFindings& out) {
    for (const Cell& c : view.plan().cells) {
        const std::string name = view.name(c.id);
        // The reference power is what is computed with; the total power where that is not given.
        std::optional<Doubt> d;
        if (c.totalPowerDbm) d = doubtTotal(name, c);
        if (!d && c.referencePowerDbm) d = doubtReference(name, c);
        AuditFinding f;
        f.subjects = {c.id};
        f.source = kOwn;
        if (d) {
            f.measured = d->measured;
            f.limit = d->limit;
            f.text = d->text;
            f.proposal = d->proposal;
            if (d->mended) f.edit = putting(fmt::format("Correct the power of {}", name), *d->mended);
        } else if (!c.totalPowerDbm && !c.referencePowerDbm) {
            f.severity = Severity::note;
            f.measured = f.limit = {46, "dBm"};
            f.text = fmt::format("The power of {} is not known; 46 dBm are taken.", name);
            f.proposal = fmt::format("Look up the power of {}.", name);
        } else {
            continue;
        }
        out.push_back(std::move(f));
    }
}

} // namespace fw
