// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/fringes.h"

#include <algorithm>

namespace fw {

std::vector<ItemId> macroCellsOf(const Plan& plan, const std::vector<ItemId>& items) {
    const auto asked = [&](ItemId id) { return std::find(items.begin(), items.end(), id) != items.end(); };
    std::vector<ItemId> out;
    for (const Cell& c : plan.cells) {
        const Sector* s = plan.sectors.find(c.sector);
        if (asked(c.id) || asked(c.sector) || (s && asked(s->site))) out.push_back(c.id);
    }
    return out;
}

Fringes::Fringes(PlanDocument& document, LiveStudy& live, JobBoard& jobs, QObject* parent)
    : QObject(parent), m_document(document), m_live(live), m_jobs(jobs) {
    connect(&document, &PlanDocument::planReplaced, this, &Fringes::clear);
    connect(&document, &PlanDocument::planChanged, this, [this](const PlanDiff& d) {
        // Small cells change nothing about where macros spend their capacity.
        const auto macro = [](const Difference& x) {
            return x.kind == Kind::macroSite || x.kind == Kind::sector || x.kind == Kind::cell ||
                   x.kind == Kind::building || x.kind == Kind::tree || x.kind == Kind::congestionArea ||
                   x.kind == Kind::street;
        };
        if (d.settings || std::any_of(d.items.begin(), d.items.end(), macro)) clear();
    });
}

void Fringes::clear() {
    m_jobs.cancel(QStringLiteral("fringe"));
    m_from.reset();
    if (m_maps.empty()) return;
    m_maps.clear();
    emit changed();
}

void Fringes::compute(const std::vector<ItemId>& items) {
    const auto study = m_live.study();
    if (!study || m_live.dragging()) {
        emit failed(tr("The plan is still being computed; ask for the fringe once the figures are there."));
        return;
    }
    const std::vector<ItemId> cells = macroCellsOf(study->plan(), items);
    if (cells.empty()) {
        emit failed(tr("Choose a macro cell, sector or site first; its fringe is what is computed."));
        return;
    }
    auto found = std::make_shared<std::vector<FringeMap>>();
    m_jobs.start(
        QStringLiteral("fringe"), tr("Finding fringes"),
        [found, study, cells](const Job& job) {
            for (std::size_t k = 0; k < cells.size() && !job.stopped(); ++k) {
                job.report(static_cast<double>(k) / static_cast<double>(cells.size()), "");
                FringeMap map = fringeOf(*study, cells[k]);
                if (!map.areas.empty()) found->push_back(std::move(map));
            }
        },
        [this, found, study](Outcome outcome) {
            if (outcome != Outcome::done) return;
            if (found->empty()) {
                emit failed(tr("None of these cells has a measured load, so none has a fringe."));
                return;
            }
            m_from = study;
            m_maps = std::move(*found);
            emit changed();
        });
}

std::vector<ItemId> Fringes::toAreas() {
    if (m_maps.empty() || !m_from) {
        emit failed(tr("There is no fringe in view. Choose full cells and find their fringe first."));
        return {};
    }
    Edit all;
    std::vector<ItemId> ids;
    std::uint32_t next = m_document.plan().nextId().v;
    for (const FringeMap& map : m_maps) {
        auto edit = fringeToAreas(*m_from, map);
        if (!edit) {
            emit failed(QString::fromStdString(edit.error().sentence()));
            return {};
        }
        for (Change& change : edit->changes)
            if (auto* put = std::get_if<Put>(&change))
                if (auto* area = std::get_if<CongestionArea>(&put->item)) {
                    area->id = {next++};
                    ids.push_back(area->id);
                    all.changes.push_back(std::move(change));
                }
        if (all.text.empty()) all.text = edit->text;
    }
    if (m_maps.size() > 1)
        all.text =
            tr("Congestion areas from %n fringes", nullptr, static_cast<int>(m_maps.size())).toStdString();
    return m_document.perform(all) ? ids : std::vector<ItemId>{};
}

} // namespace fw
