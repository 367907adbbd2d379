// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/preview.h"

#include "base/text.h"
#include "intake/left_behind.h"
#include "intake/place_finder.h"
#include "intake/taker.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

using Weight = IntakeRemark::Weight;

TakerPtr takerFor(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows) {
    switch (request.kind) {
    case IntakeKind::sites:
    case IntakeKind::sectors:
    case IntakeKind::cells:
        return networkTaker(plan, frame, request, rows);
    case IntakeKind::counters:
        return counterTaker(plan, frame, request, rows);
    case IntakeKind::timingAdvance:
    case IntakeKind::cqi:
        return histogramTaker(plan, frame, request, rows);
    case IntakeKind::mounts:
        return mountTaker(plan, frame, request, rows);
    case IntakeKind::areas:
        return areaTaker(plan, frame, request, rows);
    case IntakeKind::buildings:
        return buildingTaker(plan, frame, request, rows);
    case IntakeKind::obstructions:
        return obstructionTaker(plan, frame, request, rows);
    case IntakeKind::trees:
        return treeTaker(plan, frame, request, rows);
    case IntakeKind::lines:
        return lineTaker(plan, frame, request, rows);
    case IntakeKind::fibre:
        return fibreTaker(plan, frame, request, rows);
    case IntakeKind::power:
        return powerTaker(plan, frame, request, rows);
    case IntakeKind::streets:
        return streetTaker(plan, frame, request, rows);
    case IntakeKind::antennas:
        return antennaTaker(plan, frame, request, rows);
    case IntakeKind::measurements:
        return measurementTaker(plan, frame, request, rows);
    case IntakeKind::terrain:
    case IntakeKind::demand:
    case IntakeKind::landCover:
        break;
    }
    return nullptr;
}

void grow(Box& box, const SourceShape& shape) {
    for (const PlanePoint& p : shape.points) box.add(p);
    for (const Line& line : shape.lines) box.add(boundsOf(line));
    for (const Polygon& area : shape.areas) box.add(boundsOf(area));
}

/// Reads all rows through the taker and counts.
class Reading {
public:
    Reading(IntakePreview& preview, RowReader& rows, PlaceFinder& places, Taker& taker)
        : m_preview(preview), m_rows(rows), m_places(places), m_taker(taker) {}

    bool take(SourceRow& row) {
        ++m_preview.rows;
        m_rows.start(row);
        if (!row.fault.empty()) m_rows.refuse(row.fault);
        // Refused rows are listed as they were, so the geometry alone is moved out of them.
        SourceShape shape = m_places.placeOf(m_rows);
        Box extent;
        grow(extent, shape);
        if (!m_rows.refused()) m_taker.take(m_rows, std::move(shape));
        if (!m_rows.refused()) {
            ++m_preview.good;
            if (!extent.empty()) m_preview.extent.add(extent);
            return true;
        }
        ++m_preview.refused;
        if (m_preview.refusals.size() < IntakePreview::kMostListed)
            m_preview.refusals.push_back(m_rows.refusal());
        return true;
    }

private:
    IntakePreview& m_preview;
    RowReader& m_rows;
    PlaceFinder& m_places;
    Taker& m_taker;
};

void askForMissing(const IntakeKindInfo& info, IntakePreview& preview) {
    for (const int f : missingFields(info, preview.mapping)) {
        const IntakeField& field = info.fields[static_cast<std::size_t>(f)];
        preview.remarks.push_back({Weight::question, fmt::format("No column holds the {}.", field.words),
                                   fmt::format("--map {}=COLUMN", field.name)});
    }
}

// Ground to compute: a plan that has none yet takes it from what gives it a shape.
void growWorkArea(const Plan& plan, IntakePreview& preview) {
    constexpr double kMarginM = 300, kWidestM = 20000, kStepM = 100;
    const IntakeKind kind = preview.kind;
    const bool shapes = kind == IntakeKind::buildings || kind == IntakeKind::mounts ||
                        kind == IntakeKind::areas || kind == IntakeKind::cells || kind == IntakeKind::sites ||
                        kind == IntakeKind::sectors;
    if (!plan.settings->workArea.empty() || !shapes || preview.extent.empty()) return;
    Box area = preview.extent.grown(kMarginM);
    const PlanePoint mid = area.centre();
    const double w = std::min(area.width(), kWidestM) / 2, h = std::min(area.height(), kWidestM) / 2;
    const auto down = [](double v) { return std::floor(v / kStepM) * kStepM; };
    area = {down(mid.x - w), down(mid.y - h), down(mid.x + w) + kStepM, down(mid.y + h) + kStepM};
    PlanSettings settings = *plan.settings;
    for (const Change& c : preview.edit.changes)
        if (const auto* put = std::get_if<PutSettings>(&c)) settings = put->settings;
    settings.workArea = area;
    preview.edit.changes.emplace_back(PutSettings{settings});
    preview.remarks.push_back(
        {Weight::note,
         fmt::format("The plan had no work area; it becomes {:.1f} x {:.1f} km round these "
                     "rows.",
                     area.width() / 1000, area.height() / 1000),
         {}});
}

std::string csvField(const std::string& text) {
    if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"') out += '"';
        out += c;
    }
    return out + '"';
}

} // namespace

void choose(IntakeRequest& request, const IntakeChoice& choice) {
    if (!choice.unit.empty()) request.map[choice.field].unit = choice.unit;
    if (choice.epsg != 0) request.epsg = choice.epsg;
    if (choice.dateOrder) request.dateOrder = choice.dateOrder;
    if (choice.decimal) request.source.decimal = choice.decimal;
    if (choice.swapAxes) request.swapAxes = !request.swapAxes;
}

bool IntakePreview::usable() const {
    return good > 0 && std::none_of(remarks.begin(), remarks.end(),
                                    [](const IntakeRemark& r) { return r.weight == Weight::question; });
}

namespace {

IntakeRemark remarkOf(const SourceHead::Doubt& doubt) {
    const bool comma = doubt.decimal == ',';
    IntakeRemark remark{Weight::look, doubt.text, comma ? "--decimal comma" : "--decimal point"};
    IntakeChoice choice;
    choice.words = comma ? CORE_TEXT("decimal comma") : CORE_TEXT("decimal point");
    choice.decimal = doubt.decimal;
    remark.choices.push_back(std::move(choice));
    return remark;
}

// Degrees are read with either sign, and what is not used or is a name has none.
bool readsNumbers(const IntakeKindInfo& info, const Mapping& mapping, std::int32_t column) {
    return std::any_of(mapping.begin(), mapping.end(), [&](const MappedField& m) {
        if (m.column != column) return false;
        switch (info.fields[static_cast<std::size_t>(m.field)].type) {
        case FieldType::latitude:
        case FieldType::longitude:
        case FieldType::text:
        case FieldType::choice:
        case FieldType::yes:
        case FieldType::hour:
            return false;
        default:
            return true;
        }
    });
}

Status takesRows(const IntakeKindInfo& info) {
    if (!info.raster) return Done{};
    return Error{ErrorCode::badInput, fmt::format("{} come as a raster, not as rows.", info.words)};
}

} // namespace

Result<IntakePreview> previewIntake(const Plan& plan, const std::filesystem::path& file,
                                    const IntakeRequest& request, const Job& job) {
    if (const Status s = takesRows(infoOf(request.kind)); !s.ok()) return s.error();
    const auto source = openSource(file, request.source, job);
    return source ? previewIntake(plan, **source, request, job) : source.error();
}

Result<IntakePreview> previewIntake(const Plan& plan, const std::filesystem::path& file,
                                    IntakeRequest request, const MappingMemory& memory, const Job& job) {
    if (const Status s = takesRows(infoOf(request.kind)); !s.ok()) return s.error();
    const auto source = openSource(file, request.source, job);
    if (!source) return source.error();
    request.remembered = memory.recall(infoOf(request.kind), (*source)->head());
    return previewIntake(plan, **source, request, job);
}

Result<IntakePreview> previewIntake(const Plan& plan, Source& source, const IntakeRequest& request,
                                    const Job& job) {
    const IntakeKindInfo& info = infoOf(request.kind);
    if (const Status s = takesRows(info); !s.ok()) return s.error();
    auto frame = Frame::fromEpsg(plan.settings->epsg);
    if (!frame) return frame.error();
    const std::filesystem::path& file = source.head().file;
    IntakePreview preview;
    preview.kind = request.kind;
    preview.head = source.head();
    auto mapping = mappingFor(info, preview.head, request.map, request.remembered);
    if (!mapping) return Error{mapping.error().code, mapping.error().text, file.string()};
    preview.mapping = *mapping;
    askForMissing(info, preview);
    RowReader rows(info, *mapping, preview.head);
    auto places = PlaceFinder::open(plan, *frame, rows, request, preview.remarks);
    if (!places) return Error{places.error().code, places.error().text, file.string()};
    TakerPtr taker = takerFor(plan, *frame, request, rows);
    Reading reading(preview, rows, *places, *taker);
    const Status read = source.forEachRow(job, [&](SourceRow& row) { return reading.take(row); });
    if (!read.ok() || job.stopped()) {
        // Items by the hundred thousand take their time to go; nobody who stopped it has to wait for that.
        leaveBehind([late = std::shared_ptr<Taker>(std::move(taker))]() mutable { late.reset(); });
        return read.ok() ? Error{ErrorCode::cancelled, "Taking in was stopped."} : read.error();
    }
    for (const std::string& note : source.head().notes) // some are known only now
        preview.remarks.push_back({Weight::note, note, {}});
    for (const SourceHead::Doubt& doubt : source.head().doubts)
        if (readsNumbers(info, preview.mapping, doubt.column)) preview.remarks.push_back(remarkOf(doubt));
    preview.crs = places->system();
    preview.duplicates = taker->duplicates();
    places->finish(preview.remarks);
    taker->finish(preview);
    std::erase_if(preview.counts, [](const IntakeCount& c) { return c.added + c.changed == 0; });
    preview.edit.text = fmt::format("Take in {} from {}", info.words, file.filename().string());
    if (preview.rows == 0)
        preview.remarks.push_back({Weight::look, "The file has no rows.", {}});
    else if (preview.duplicates > 0)
        preview.remarks.push_back(
            {Weight::look,
             fmt::format("{} rows repeat another or what the plan has.", preview.duplicates),
             {}});
    if (preview.edit.changes.empty() && preview.measured.empty() && preview.good > 0)
        preview.remarks.push_back({Weight::note, "The plan has all of this already.", {}});
    if (!preview.edit.changes.empty()) growWorkArea(plan, preview);
    std::stable_sort(preview.remarks.begin(), preview.remarks.end(),
                     [](const IntakeRemark& a, const IntakeRemark& b) { return a.weight > b.weight; });
    return preview;
}

std::string sentenceOf(const RefusedRow& r, const SourceHead& head) {
    const char* word = head.format == "text" ? "line" : "row";
    std::string text = fmt::format("{} {}", word, r.row);
    if (!r.column.empty()) text += fmt::format(", {}", r.column);
    const bool saysIt = r.reason.starts_with('"'); // the reader's clause names the value
    if (saysIt || r.value.empty()) return fmt::format("{}: {}", text, r.reason);
    return fmt::format("{}: \"{}\" {}", text, r.value, r.reason);
}

std::string refusedAsCsv(const IntakePreview& preview) {
    std::string out = "row,reason";
    for (const SourceColumn& c : preview.head.columns) out += ',' + csvField(c.name);
    out += '\n';
    for (const RefusedRow& r : preview.refusals) {
        const std::string reason = r.column.empty() ? r.reason : r.column + ": " + r.reason;
        out += fmt::format("{},{}", r.row, csvField(reason));
        for (const std::string& v : r.values) out += ',' + csvField(v);
        out += '\n';
    }
    return out;
}

} // namespace fw
