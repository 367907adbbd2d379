// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "study/change_rasters.h"
#include "study/hand_plan.h"
#include "study/raster_town.h"
#include "support/random_plan.h"

#include <algorithm>
#include <cmath>

using namespace fw;
using namespace fw::testing;

namespace {

double powerMw(double dbm) { return std::pow(10.0, dbm / 10); }

// Rate of a resource element over all others: full while busy, the idle floor otherwise (ModelSettings).
double sends(const ModelSettings& m, Technology technology, int ports, double use) {
    const double floor = technology == Technology::nr ? m.idleFloorNr
                         : ports >= 4                 ? m.idleFloorLte4
                                                      : m.idleFloorLte2;
    return floor + (1 - floor) * std::clamp(use, 0.0, 1.0);
}

// What serves at a place, worked out from the study's point queries and the model's description alone.
struct Twin {
    double levelDbm = -1e9, sinrDb = -1e9, kbps = 0;
    std::uint32_t server = kNoServer;
    double apart = 1e9; ///< dB by which the server leads, as compared
};

struct Heard {
    std::uint32_t server;
    double dbm, biasDb;
    Technology technology;
    std::int32_t channel, scsKHz;
    double averageMw, freeKbps;
};

class TwinMaker {
public:
    TwinMaker(const Study& study, int layer, Moment moment)
        : m_study(study), m_layer(layer), m_after(moment == Moment::after) {}

    [[nodiscard]] Twin at(PlanePoint p) const {
        std::vector<Heard> all = macrosAt(p);
        if (m_after) addSmalls(all, p);
        Twin out;
        double second = -1e9, best = -1e9;
        const Heard* server = nullptr;
        for (const Heard& h : all) {
            if (!counts(h)) continue;
            out.levelDbm = std::max(out.levelDbm, h.dbm);
            const double compared = h.dbm + h.biasDb;
            if (compared > best) {
                second = best;
                best = compared;
                server = &h;
            } else {
                second = std::max(second, compared);
            }
        }
        if (!server) return out;
        out.server = server->server;
        out.apart = best - second;
        const ModelSettings& m = m_study.plan().settings->model;
        if (server->dbm < m.servedFromDbm) return out;
        // Noise in one subcarrier: -174 dBm/Hz and the device's noise figure (TR 36.942, table C.1).
        double others = powerMw(-174 + 10 * std::log10(15000.0) + m.noiseFigureDb);
        for (const Heard& h : all)
            if (&h != server && h.technology == server->technology && h.channel == server->channel)
                others += h.averageMw;
        out.sinrDb = server->dbm - 10 * std::log10(others);
        // TR 36.942, Annex A.1: 0.6 of Shannon's bound, at most 4.4 bit/s/Hz, here with CQI 1 as the floor.
        const double eta = std::clamp(0.6 * std::log2(1 + std::pow(10.0, out.sinrDb / 10)), 0.15, 4.4);
        out.kbps = server->freeKbps < 0 ? -1 : server->freeKbps * eta;
        return out;
    }

private:
    [[nodiscard]] bool counts(const Heard& h) const {
        if (m_layer < 0) return true;
        const Layer& l = m_study.layers()[static_cast<std::size_t>(m_layer)];
        return h.technology == l.technology && h.channel == l.channel;
    }

    [[nodiscard]] std::vector<Heard> macrosAt(PlanePoint p) const {
        std::vector<Heard> out;
        const auto cells = m_study.macroCells();
        for (std::size_t n = 0; n < cells.size(); ++n) {
            const auto level = m_study.macroCellAt(cells[n].id, p);
            if (!level) continue;
            const Cell& c = *m_study.plan().cells.find(cells[n].id);
            const auto& model = m_study.plan().settings->model;
            double use = 1;
            double free = -1;
            for (const LedgerLine& line : m_study.live().cells)
                if (line.cell == c.id) {
                    use = m_after ? line.after : line.before;
                    free = cells[n].resourceBlocks * 12.0 * c.carrier.scsKHz * c.carrier.downlinkShare *
                           std::max(0.0, 1 - use);
                }
            out.push_back(
                {static_cast<std::uint32_t>(n), *level, 0, c.carrier.technology, c.carrier.channel,
                 c.carrier.scsKHz,
                 powerMw(*level) * sends(model, c.carrier.technology, c.ports, c.load.dlPrbUse.value_or(0.5)),
                 free});
        }
        return out;
    }

    void addSmalls(std::vector<Heard>& out, PlanePoint p) const {
        const auto smalls = m_study.smallCells();
        const auto& model = m_study.plan().settings->model;
        for (std::size_t n = 0; n < smalls.size(); ++n) {
            const auto level = m_study.smallAt(smalls[n].id, p);
            if (!smalls[n].chosen || !level) continue;
            const Carrier& c = smalls[n].carrier;
            const Radio& radio = *m_study.plan().radios.find(smalls[n].radio);
            double free = -1;
            for (const SmallCellUse& u : m_study.live().smalls)
                if (u.small == smalls[n].id)
                    free = smalls[n].resourceBlocks * 12.0 * c.scsKHz * c.downlinkShare *
                           std::max(0.0, 1 - u.use);
            out.push_back({kSmallServer | static_cast<std::uint32_t>(n), *level, smalls[n].biasDb,
                           c.technology, c.channel, c.scsKHz,
                           powerMw(*level) * sends(model, c.technology, radio.ports, model.smallUsePlanned),
                           free});
        }
    }

    const Study& m_study;
    int m_layer;
    bool m_after;
};

// Where no chosen small cell reaches, with its pixel's rim.
bool beyondSmalls(const Study& study, PlanePoint p) {
    return std::none_of(study.smallCells().begin(), study.smallCells().end(), [&](const SmallCellPart& s) {
        return s.chosen &&
               planeDistance(study.mount(s.mount)->at, p) < study.plan().settings->model.smallReachM + 12;
    });
}

double pointsOf(const std::vector<CostChange>& tiles, std::vector<float> CostChange::*what) {
    double sum = 0;
    for (const CostChange& t : tiles)
        for (const float v : t.*what) sum += v * 0.0016;
    return sum;
}

} // namespace

TEST_CASE("levels, servers, SINR and rate are what the point queries and the model's description give",
          "[study][change]") {
    const auto study = townStudy(5);
    std::size_t small = 0;
    for (int layer = -1; layer < static_cast<int>(study->layers().size()); ++layer)
        for (const Moment moment : {Moment::before, Moment::after}) {
            INFO("layer " << layer << (moment == Moment::after ? " after" : " before"));
            const TwinMaker twin(*study, layer, moment);
            const auto rasters = radioRasters(*study, layer, moment);
            REQUIRE(!rasters.empty());
            std::size_t heard = 0, wrongLevel = 0, wrongServer = 0, wrongSinr = 0, wrongRate = 0;
            for (const RadioRaster& r : rasters)
                for (std::size_t i = 3; i < r.server.size(); i += 29) {
                    const Twin want = twin.at(centreOf(r.key, i));
                    if (want.server == kNoServer) {
                        wrongServer += r.server[i] != kNoServer || r.levelCenti[i] != kNothingHeard;
                        continue;
                    }
                    ++heard;
                    small += want.server >= kSmallServer;
                    wrongLevel += std::abs(want.levelDbm * 100 - r.levelCenti[i]) > 0.5; // whole hundredths
                    if (want.apart < 0.005) continue; // equals in hundredths: either may serve
                    wrongServer += r.server[i] != want.server;
                    if (want.sinrDb < -1e8) {
                        wrongSinr += r.sinrCenti[i] != kNothingHeard || r.rateKbps[i] != 0;
                        continue;
                    }
                    // The study keeps powers in a table of hundredths of a decibel: 0.02 dB covers it.
                    wrongSinr += std::abs(want.sinrDb - r.sinrCenti[i] / 100.0) > 0.02;
                    // 0.02 dB of SINR are less than 0.5 % of a rate.
                    wrongRate += want.kbps < 0 ? r.rateKbps[i] != kNoRate
                                               : std::abs(want.kbps - r.rateKbps[i]) > 0.005 * want.kbps + 1;
                }
            CHECK(heard > 500);
            CHECK(wrongLevel == 0);
            CHECK(wrongServer == 0);
            CHECK(wrongSinr == 0);
            CHECK(wrongRate == 0);
        }
    CHECK(small > 200);
}

TEST_CASE("the strongest cell of macros and small cells is no weaker after than before", "[study][change]") {
    const auto study = townStudy(7);
    const auto before = radioRasters(*study, -1, Moment::before),
               after = radioRasters(*study, -1, Moment::after);
    const auto serving = servingRasters(*study, -1);
    std::size_t stronger = 0, weaker = 0, differs = 0;
    for (std::size_t t = 0; t < before.size(); ++t)
        for (std::size_t i = 0; i < before[t].levelCenti.size(); ++i) {
            const int d = changeOf(before[t].levelCenti[i], after[t].levelCenti[i], kNothingHeard);
            stronger += d != kNothingHeard && d > 0;
            weaker += d != kNothingHeard && d < 0;
            differs += before[t].levelCenti[i] != serving[t].levelCenti[i];
        }
    CHECK(stronger > 1000);
    CHECK(weaker == 0);
    CHECK(differs == 0); // before is what serving rasters say
}

TEST_CASE("nothing changes where no chosen small cell reaches", "[study][change]") {
    Random random(11);
    testing::RandomPlanSpec spec;
    spec.mounts = 2;
    Plan plan = testing::randomPlan(random, spec);
    PlanSettings set = *plan.settings;
    set.model.smallReachM = 160;
    plan.settings = std::make_shared<const PlanSettings>(set);
    const auto study = *testing::compute(plan);
    for (int layer = -1; layer < static_cast<int>(study->layers().size()); ++layer) {
        const auto before = radioRasters(*study, layer, Moment::before),
                   after = radioRasters(*study, layer, Moment::after);
        const auto cost = costChanges(*study, layer);
        std::size_t beyond = 0, changed = 0;
        for (std::size_t t = 0; t < before.size(); ++t)
            for (std::size_t i = 0; i < before[t].levelCenti.size(); ++i) {
                if (!beyondSmalls(*study, centreOf(before[t].key, i))) continue;
                ++beyond;
                changed += before[t].levelCenti[i] != after[t].levelCenti[i] ||
                           before[t].server[i] != after[t].server[i] ||
                           before[t].sinrCenti[i] != after[t].sinrCenti[i];
            }
        CHECK(beyond > 10000);
        CHECK(changed == 0);
        // A building that is reached may stand half outside: 60 m are more than any is long.
        std::size_t moved = 0;
        for (const CostChange& c : cost)
            for (std::size_t i = 0; i < c.reliefPerHa.size(); ++i) {
                const PlanePoint p = centreOf(c.key, i);
                bool far = true;
                for (const SmallCellPart& s : study->smallCells())
                    far = far && planeDistance(study->mount(s.mount)->at, p) > 160 + 60;
                moved += far && (c.reliefPerHa[i] != 0 || c.harmPerHa[i] != 0);
            }
        CHECK(moved == 0);
    }
}

TEST_CASE("without chosen small cells before and after are the same", "[study][change]") {
    testing::HandPlan hand;
    hand.macro(testing::place(-200, 0), 90, 0.8);
    const ItemId id = hand.small(testing::place(120, 0), 90);
    Plan plan = hand.done();
    SmallCell c = *plan.smallCells.find(id);
    c.chosen = false;
    plan.smallCells.put(c);
    const auto study = *testing::compute(plan);
    const auto before = radioRasters(*study, 0, Moment::before),
               after = radioRasters(*study, 0, Moment::after);
    for (std::size_t t = 0; t < before.size(); ++t) {
        CHECK(before[t].levelCenti == after[t].levelCenti);
        CHECK(before[t].server == after[t].server);
        CHECK(before[t].sinrCenti == after[t].sinrCenti);
        CHECK(before[t].rateKbps == after[t].rateKbps);
    }
    CHECK(pointsOf(costChanges(*study, 0), &CostChange::reliefPerHa) == 0);
    CHECK(pointsOf(costChanges(*study, 0), &CostChange::harmPerHa) == 0);
}

TEST_CASE("the relief and the harm of all pixels are the ledger's", "[study][change]") {
    for (const double cap : {0.7, 0.01}) { // with the low cap the ledger counts a part of the relief only
        Random random(5);
        Plan plan = testing::randomPlan(random, {});
        PlanSettings set = *plan.settings;
        set.model.smallUseCap = cap;
        plan.settings = std::make_shared<const PlanSettings>(set);
        const auto study = *testing::compute(plan);
        double every = 0;
        for (int layer = 0; layer < static_cast<int>(study->layers().size()); ++layer) {
            double relief = 0, harm = 0;
            for (const LedgerLine& line : study->live().cells) {
                if (study->macroCell(line.cell)->layer != layer) continue;
                for (const LedgerLine::Part& p : line.relief) relief += 100 * p.use;
                harm += 100 * line.harm;
            }
            const auto tiles = costChanges(*study, layer);
            CHECK(relief > 0.01);
            CHECK(pointsOf(tiles, &CostChange::reliefPerHa) == Approx(relief).epsilon(1e-4));
            CHECK(pointsOf(tiles, &CostChange::harmPerHa) == Approx(harm).epsilon(1e-4));
            every += relief;
        }
        CHECK(pointsOf(costChanges(*study, -1), &CostChange::reliefPerHa) == Approx(every).epsilon(1e-4));
    }
}

TEST_CASE("relief lies on pixels that cost something, and takes no more than they cost", "[study][change]") {
    const auto study = townStudy(9);
    const auto cost = costRasters(*study, -1);
    const auto change = costChanges(*study, -1);
    std::size_t relieved = 0, wrong = 0;
    for (std::size_t t = 0; t < cost.size(); ++t)
        for (std::size_t i = 0; i < cost[t].pointsPerHa.size(); ++i) {
            relieved += change[t].reliefPerHa[i] > 0;
            // Floats of sums in different order: 1e-4 of the amount.
            wrong += change[t].reliefPerHa[i] < 0 ||
                     change[t].reliefPerHa[i] > cost[t].pointsPerHa[i] * 1.0001F + 1e-6F;
        }
    CHECK(relieved > 500);
    CHECK(wrong == 0);
}

TEST_CASE("change rasters have the same bytes for any number of threads, and in a drag", "[study][change]") {
    const auto study = townStudy(5);
    const SmallCellPart part = study->smallCells()[0];
    Hypothesis h;
    h.radio = *study->plan().radios.find(part.radio);
    h.radio->azimuth = TrueAzimuth::of(h.radio->azimuth.deg + 77);
    Plan turned = study->plan();
    turned.radios.put(*h.radio);
    const auto over = study->overlay(h), full = *testing::compute(turned);
    const auto a = radioRasters(*over, -1, Moment::after, 1), b = radioRasters(*full, -1, Moment::after, 4),
               old = radioRasters(*study, -1, Moment::after, 1);
    const auto ca = costChanges(*over, -1, 1), cb = costChanges(*full, -1, 4);
    REQUIRE(a.size() == b.size());
    bool differs = false;
    for (std::size_t t = 0; t < a.size(); ++t) {
        CHECK(a[t].levelCenti == b[t].levelCenti);
        CHECK(a[t].server == b[t].server);
        CHECK(a[t].sinrCenti == b[t].sinrCenti);
        CHECK(a[t].rateKbps == b[t].rateKbps);
        CHECK(ca[t].reliefPerHa == cb[t].reliefPerHa);
        CHECK(ca[t].harmPerHa == cb[t].harmPerHa);
        differs = differs || a[t].levelCenti != old[t].levelCenti;
    }
    CHECK(differs);
}

TEST_CASE("change rasters of a layer that is not there, or stopped, are empty", "[study][change]") {
    testing::HandPlan hand;
    hand.macro(testing::place(-200, 0), 90, 0.8);
    const auto study = *testing::compute(hand.done());
    CHECK(radioRasters(*study, 7, Moment::after).empty());
    CHECK(costChanges(*study, 7).empty());
    std::stop_source stop;
    stop.request_stop();
    CHECK(radioRasters(*study, 0, Moment::after, 1, Job{stop.get_token(), {}}).empty());
    CHECK(costChanges(*study, 0, 1, Job{stop.get_token(), {}}).empty());
}
