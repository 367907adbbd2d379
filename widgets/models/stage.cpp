// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/stage.h"

#include "base/sorted.h"

#include <QCoreApplication>
#include <QLocale>

#include <algorithm>

namespace fw {

namespace {

class StageText {
    Q_DECLARE_TR_FUNCTIONS(StageText)
};

int overTheTrigger(const Plan& plan) {
    int n = 0;
    for (const Cell& c : plan.cells) n += overTrigger(c.load, plan.settings->model);
    return n;
}

struct Targets {
    int congested = 0, met = 0;
};
Targets targetsOf(const Ledger& ledger) {
    Targets t;
    for (const LedgerLine& l : ledger.cells) {
        if (!l.congested) continue;
        ++t.congested;
        t.met += l.after <= l.target;
    }
    return t;
}

int blockingFindings(const Review& r) {
    return r.count(Severity::block) + r.count(Severity::block, Standing::nowWorse);
}

int chosenCells(const Plan& plan) {
    int n = 0;
    for (const SmallCell& s : plan.smallCells) n += s.chosen && s.variant == plan.settings->activeVariant;
    return n;
}

int waitingForConsent(const Plan& plan) {
    int n = 0;
    for (const ItemId id : mountsInWork(plan)) {
        const Mount* m = plan.mounts.find(id);
        n += m && m->consent != ConsentState::given;
    }
    return n;
}

int sitesReady(const Workspace& space) {
    const Plan& plan = space.document.plan();
    int n = 0;
    for (const ItemId id : mountsInWork(plan)) {
        const Mount* m = plan.mounts.find(id);
        n += m && siteState(space, *m) == SiteState::ready;
    }
    return n;
}

QString counted(int n, const QString& one, const QString& many) { return n == 1 ? one : many; }

QString loadState(const Plan& plan) {
    if (plan.cells.empty()) return StageText::tr("no cells yet");
    const int n = overTheTrigger(plan);
    if (n == 0) return StageText::tr("no cell over the trigger");
    return counted(n, StageText::tr("1 cell over the trigger"),
                   StageText::tr("%n cells over the trigger", nullptr, n));
}

QString fringeState(const Workspace& space) {
    const Ledger* ledger = space.live.ledger();
    if (!ledger) return StageText::tr("not yet computed");
    const Targets t = targetsOf(*ledger);
    if (t.congested == 0) return StageText::tr("no cell is congested");
    if (t.met == t.congested) return StageText::tr("all cells come under their target");
    if (t.met == 0) return StageText::tr("no cell comes under its target yet");
    return counted(t.met, StageText::tr("1 cell comes under its target"),
                   StageText::tr("%n cells come under their target", nullptr, t.met));
}

QString cellsState(const Workspace& space) {
    if (chosenCells(space.document.plan()) == 0) return StageText::tr("nothing chosen yet");
    if (!space.live.study()) return StageText::tr("not yet reviewed");
    const Review& r = space.live.review();
    if (const int n = blockingFindings(r))
        return counted(n, StageText::tr("1 finding blocks"), StageText::tr("%n findings block", nullptr, n));
    const int warn = r.count(Severity::warn) + r.count(Severity::warn, Standing::nowWorse);
    if (warn > 0)
        return counted(warn, StageText::tr("1 finding warns"),
                       StageText::tr("%n findings warn", nullptr, warn));
    return StageText::tr("nothing stands against it");
}

QString worksState(const Plan& plan) {
    if (mountsInWork(plan).empty()) return StageText::tr("nothing to build yet");
    const int n = waitingForConsent(plan);
    if (n == 0) return StageText::tr("all consents given");
    return counted(n, StageText::tr("1 site waits for consent"),
                   StageText::tr("%n sites wait for consent", nullptr, n));
}

QString packState(const Workspace& space) {
    if (mountsInWork(space.document.plan()).empty()) return StageText::tr("nothing to hand over yet");
    if (!space.live.study()) return StageText::tr("not yet reviewed");
    const int n = sitesReady(space);
    if (n == 0) return StageText::tr("no site ready");
    return counted(n, StageText::tr("1 site ready"), StageText::tr("%n sites ready", nullptr, n));
}

} // namespace

std::vector<ItemId> radiosInWork(const Plan& plan) {
    std::vector<ItemId> out;
    for (const SmallCell& s : plan.smallCells)
        if (s.chosen && s.variant == plan.settings->activeVariant) out.push_back(s.radio);
    sortUnique(out);
    return out;
}

std::vector<ItemId> mountsInWork(const Plan& plan) {
    std::vector<ItemId> out;
    for (const ItemId id : radiosInWork(plan))
        if (const Radio* r = plan.radios.find(id)) out.push_back(r->mount);
    sortUnique(out);
    return out;
}

SiteState siteState(const Workspace& space, const Mount& mount) {
    if (space.live.review().blocked(mount.id)) return SiteState::blocked;
    return mount.consent == ConsentState::given     ? SiteState::ready
           : mount.consent == ConsentState::refused ? SiteState::refused
                                                    : SiteState::waits;
}

std::vector<ItemId> familyOf(const Plan& plan, ItemId mount) {
    std::vector<ItemId> out{mount};
    for (const Radio& r : plan.radios)
        if (r.mount == mount) out.push_back(r.id);
    const std::size_t radios = out.size();
    for (const SmallCell& s : plan.smallCells)
        if (s.variant == plan.settings->activeVariant &&
            std::find(out.begin() + 1, out.begin() + static_cast<std::ptrdiff_t>(radios), s.radio) !=
                out.begin() + static_cast<std::ptrdiff_t>(radios))
            out.push_back(s.id);
    return out;
}

QString stageName(Stage stage) {
    switch (stage) {
    case Stage::load:
        return StageText::tr("Load");
    case Stage::fringe:
        return StageText::tr("Fringe");
    case Stage::cells:
        return StageText::tr("Cells");
    case Stage::works:
        return StageText::tr("Works");
    case Stage::pack:
        return StageText::tr("Pack");
    case Stage::asBuilt:
        return StageText::tr("As built");
    }
    return {};
}

QString stageCount(Stage stage, const Workspace& space) {
    if (!space.document.isOpen()) return {};
    const Plan& plan = space.document.plan();
    int n = 0;
    switch (stage) {
    case Stage::load:
        n = overTheTrigger(plan);
        break;
    case Stage::fringe:
        n = static_cast<int>(plan.congestionAreas.size());
        break;
    case Stage::cells:
        n = chosenCells(plan);
        break;
    case Stage::works:
        n = static_cast<int>(mountsInWork(plan).size());
        break;
    case Stage::pack:
        n = sitesReady(space);
        break;
    case Stage::asBuilt:
        n = 0; // a plan holds no record of what was built yet
        break;
    }
    return QLocale().toString(n);
}

QString stageState(Stage stage, const Workspace& space) {
    if (!space.document.isOpen()) return {};
    const Plan& plan = space.document.plan();
    switch (stage) {
    case Stage::load:
        return loadState(plan);
    case Stage::fringe:
        return fringeState(space);
    case Stage::cells:
        return cellsState(space);
    case Stage::works:
        return worksState(plan);
    case Stage::pack:
        return packState(space);
    case Stage::asBuilt:
        return StageText::tr("nothing recorded yet");
    }
    return {};
}

QString stageEmptyText(Stage stage, const Workspace& space) {
    if (!space.document.isOpen())
        return StageText::tr("No plan is open. Open one, or start with the sample.");
    switch (stage) {
    case Stage::load:
        return StageText::tr(
            "The plan has no macro cells. Bring in the cells and their busy-hour loads first.");
    case Stage::fringe:
        return space.live.study()
                   ? StageText::tr(
                         "No cell is over the trigger and no congestion area is drawn. Draw an area "
                         "on the map where users suffer.")
                   : StageText::tr("Fringes come once the plan is computed.");
    case Stage::cells:
        return StageText::tr(
            "No small cell in this variant yet. Place a mount on a wall, pole or roof near a "
            "fringe; it brings a radio and a small cell.");
    case Stage::works:
    case Stage::pack:
        return StageText::tr("Nothing is chosen yet. Tick small cells in the table of cells.");
    case Stage::asBuilt:
        return StageText::tr(
            "Nothing is planned yet. Choose small cells, hand over the pack, and record here "
            "what the crew built.");
    }
    return {};
}

} // namespace fw
