// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/use_words.h"

#include "base/ascii.h"
#include "intake/field_text.h"
#include "plan/enum_names.h"

#include <algorithm>
#include <array>
#include <string>

namespace fw {

namespace {

struct UseWord {
    std::string_view word;
    BuildingUse use;
};
using U = BuildingUse;
// Source: OpenStreetMap wiki, Key:building; from memory.
constexpr std::array kWords{
    UseWord{"house", U::residential},      UseWord{"detached", U::residential},
    UseWord{"apartments", U::residential}, UseWord{"semidetached_house", U::residential},
    UseWord{"terrace", U::residential},    UseWord{"bungalow", U::residential},
    UseWord{"dormitory", U::residential},  UseWord{"farm", U::residential},
    UseWord{"retail", U::commercial},      UseWord{"supermarket", U::commercial},
    UseWord{"shop", U::commercial},        UseWord{"hotel", U::commercial},
    UseWord{"kiosk", U::commercial},       UseWord{"warehouse", U::industrial},
    UseWord{"manufacture", U::industrial}, UseWord{"factory", U::industrial},
    UseWord{"school", U::public_},         UseWord{"kindergarten", U::public_},
    UseWord{"university", U::public_},     UseWord{"college", U::public_},
    UseWord{"hospital", U::public_},       UseWord{"civic", U::public_},
    UseWord{"government", U::public_},     UseWord{"church", U::public_},
    UseWord{"mosque", U::public_},         UseWord{"temple", U::public_},
    UseWord{"train_station", U::public_},  UseWord{"transportation", U::public_},
    UseWord{"stadium", U::public_},        UseWord{"garage", U::other},
    UseWord{"garages", U::other},          UseWord{"shed", U::other},
    UseWord{"greenhouse", U::other},       UseWord{"barn", U::other},
    UseWord{"carport", U::other},
};

} // namespace

std::optional<BuildingUse> buildingUseFrom(std::string_view text) {
    const std::string said = lowered(trimmedField(text));
    const auto& own = EnumNames<BuildingUse>::names;
    for (std::size_t k = 0; k < own.size(); ++k) {
        const std::string_view word = own[k];
        const bool begins = said.size() >= 3 && (word.starts_with(said) || said.starts_with(word));
        if (said == word || begins) return static_cast<BuildingUse>(k);
    }
    const auto* found =
        std::find_if(kWords.begin(), kWords.end(), [&](const UseWord& w) { return w.word == said; });
    return found == kWords.end() ? std::nullopt : std::optional(found->use);
}

} // namespace fw
