// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/kind_guess.h"

#include "base/ascii.h"
#include "intake/mapping.h"

#include <array>

namespace fw {

namespace {

// Words in a file's or layer's name that speak for a kind.
struct NameWord {
    IntakeKind kind;
    std::string_view word;
};
constexpr std::array kNameWords{
    NameWord{IntakeKind::sites, "site"},
    NameWord{IntakeKind::sectors, "sector"},
    NameWord{IntakeKind::cells, "cell"},
    NameWord{IntakeKind::cells, "inventory"},
    NameWord{IntakeKind::counters, "counter"},
    NameWord{IntakeKind::counters, "hourly"},
    NameWord{IntakeKind::counters, "load"},
    NameWord{IntakeKind::timingAdvance, "timing"},
    NameWord{IntakeKind::cqi, "cqi"},
    NameWord{IntakeKind::mounts, "mount"},
    NameWord{IntakeKind::mounts, "pole"},
    NameWord{IntakeKind::mounts, "candidate"},
    NameWord{IntakeKind::areas, "congest"},
    NameWord{IntakeKind::areas, "area"},
    NameWord{IntakeKind::buildings, "building"},
    NameWord{IntakeKind::buildings, "footprint"},
    NameWord{IntakeKind::obstructions, "obstruct"},
    NameWord{IntakeKind::obstructions, "barrier"},
    NameWord{IntakeKind::trees, "tree"},
    NameWord{IntakeKind::lines, "overhead"},
    NameWord{IntakeKind::lines, "powerline"},
    NameWord{IntakeKind::fibre, "fibre"},
    NameWord{IntakeKind::fibre, "fiber"},
    NameWord{IntakeKind::power, "power"},
    NameWord{IntakeKind::streets, "street"},
    NameWord{IntakeKind::streets, "road"},
    NameWord{IntakeKind::antennas, "antenna"},
    NameWord{IntakeKind::measurements, "drive"},
    NameWord{IntakeKind::measurements, "mdt"},
    NameWord{IntakeKind::measurements, "measure"},
};

bool geometryFits(const IntakeKindInfo& info, const SourceHead& head, const Mapping& mapping) {
    const auto has = [&](const char* word) { return head.shapes.find(word) != std::string::npos; };
    const auto mapped = [&](const char* name) {
        const int f = fieldNumber(info, name);
        return f >= 0 && mapping[static_cast<std::size_t>(f)].column >= 0;
    };
    const bool placed =
        (mapped("latitude") && mapped("longitude")) || (mapped("east_m") && mapped("north_m"));
    switch (info.place) {
    case PlaceNeed::none:
        return !head.hasShapes;
    case PlaceNeed::point:
        return head.hasShapes ? has("point") || (info.kind == IntakeKind::fibre && has("line"))
                              : placed || mapped("wkt");
    case PlaceNeed::pointMaybe:
        return !head.hasShapes || has("point");
    case PlaceNeed::line:
        return head.hasShapes ? has("line") : mapped("wkt");
    case PlaceNeed::area:
        return head.hasShapes ? has("polygon") : mapped("wkt");
    }
    return false;
}

int scoreOf(const IntakeKindInfo& info, const SourceHead& head, const std::string& name) {
    const auto mapping = mappingFor(info, head, {});
    if (!mapping || !missingFields(info, *mapping).empty() || !geometryFits(info, head, *mapping)) return 0;
    int score = 1;
    for (const MappedField& m : *mapping)
        if (m.column >= 0) score += info.fields[static_cast<std::size_t>(m.field)].needed ? 3 : 2;
    // Of the network's tables the fullest that fits: a table of sites names neither azimuths nor channels.
    for (const NameWord& w : kNameWords)
        if (w.kind == info.kind && name.find(w.word) != std::string::npos) score += 5;
    return score;
}

} // namespace

std::optional<IntakeKind> guessKind(const SourceHead& head) {
    const std::string name = lowered(head.file.filename().string() + " " + head.layer);
    std::optional<IntakeKind> best;
    int most = 0;
    for (int k = 0; k < kIntakeKinds; ++k) {
        const IntakeKindInfo& info = infoOf(static_cast<IntakeKind>(k));
        if (info.raster) continue;
        const int score = scoreOf(info, head, name);
        if (score <= most) continue;
        most = score;
        best = info.kind;
    }
    return best;
}

} // namespace fw
