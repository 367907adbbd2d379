// SPDX-License-Identifier: GPL-3.0-or-later
// From rows to items of a plan: one taker a kind. For the preview alone.
#pragma once

#include "intake/preview.h"

#include <memory>
#include <unordered_map>

namespace fw {

/// Puts items of one kind together from rows. Shapes come in plane metres of the plan.
class Taker {
public:
    Taker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : m_plan(plan), m_frame(frame), m_request(request), m_rows(rows), m_lastId(plan.lastId.v) {}
    virtual ~Taker() = default;
    Taker(const Taker&) = delete;
    Taker& operator=(const Taker&) = delete;

    /// Takes what the row holds, or refuses it (row.refuse); then nothing of it is taken.
    virtual void take(RowReader& row, SourceShape shape) = 0;
    /// The changes, and what is to be said of them. Called once, when all rows were seen.
    virtual void finish(IntakePreview& preview) = 0;

    /// The row is one that was there before; it is refused and counted as a duplicate.
    [[nodiscard]] std::size_t duplicates() const { return m_duplicates; }

protected:
    [[nodiscard]] ItemId freshId() { return {++m_lastId}; }
    [[nodiscard]] int field(const char* name) const { return fieldNumber(m_rows.info(), name); }
    void refuseTwice(RowReader& row, std::string reason) {
        ++m_duplicates;
        row.refuse(std::move(reason));
    }
    /// Refuses the row where the item does not stand on its own (plan/validate.h).
    static bool stands(RowReader& row, const Item& item);
    /// The only point, or the middle of an outline; none refuses the row.
    static std::optional<PlanePoint> pointOf(RowReader& row, const SourceShape& shape);

    const Plan& m_plan;
    const Frame& m_frame;
    const IntakeRequest& m_request;
    const RowReader& m_rows;

private:
    std::uint32_t m_lastId = 0;
    std::size_t m_duplicates = 0;
};

using TakerPtr = std::unique_ptr<Taker>;
TakerPtr buildingTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);
TakerPtr obstructionTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);
TakerPtr areaTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);
TakerPtr lineTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);
TakerPtr streetTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);
TakerPtr treeTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);
TakerPtr fibreTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);
TakerPtr powerTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);
TakerPtr mountTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);
TakerPtr networkTaker(const Plan&, const Frame&, const IntakeRequest&,
                      const RowReader&); ///< sites, sectors, cells
TakerPtr antennaTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);
TakerPtr counterTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);
TakerPtr histogramTaker(const Plan&, const Frame&, const IntakeRequest&,
                        const RowReader&); ///< timing advance, CQI
TakerPtr measurementTaker(const Plan&, const Frame&, const IntakeRequest&, const RowReader&);

/// Finds rows that repeat another: a key, and the row that had it first.
class SeenRows {
public:
    /// The row that had the key before; nothing for the first.
    std::optional<std::int64_t> before(std::uint64_t key, std::int64_t row) {
        const auto [at, fresh] = m_rows.try_emplace(key, row);
        if (fresh) return std::nullopt;
        return at->second;
    }

private:
    std::unordered_map<std::uint64_t, std::int64_t> m_rows;
};
/// The same for outlines, which other exports give other corners and other last digits: two are one when
/// their middles and their sizes all but agree.
class SeenAreas {
public:
    std::optional<std::int64_t> before(const Polygon& area, std::int64_t row);

private:
    struct Seen {
        PlanePoint middle;
        double areaM2 = 0;
        std::int64_t row = 0;
    };
    std::unordered_multimap<std::uint64_t, Seen> m_seen; ///< by square metre
};

/// A key for a shape: two within some centimetres have the same one.
std::uint64_t keyOf(const Line& line);
std::uint64_t keyOf(PlanePoint p);

} // namespace fw
