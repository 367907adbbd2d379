// SPDX-License-Identifier: GPL-3.0-or-later
// How the commands' options become requests. Private to the command line: only its files know the library.
#pragma once

#include "commands/requests.h"

#include <CLI/CLI.hpp>

#include <charconv>
#include <cstdint>
#include <string>
#include <vector>

namespace fw::cli {

/// A command line with the requests its commands fill.
struct Grammar {
    explicit Grammar(const char* about) : app(about, "fringewright") {}
    CLI::App app;
    InfoRequest info;
    CheckRequest check;
    AuditRequest audit;
    NewRequest fresh;
    AddRequest add;
    CalibrateRequest calibrate;
    AfterRequest after;
    TemplateRequest form;
    ReviewRequest review;
    FitRequest fit;
    LedgerRequest ledger;
    ChanceRequest chance;
    VariantsRequest variants;
    ChooseRequest choose;
    AimRequest aim;
    ProposeRequest propose;
    AlternatesRequest alternates;
    IdentifyRequest identify;
    PackRequest pack;
    EvidenceRequest evidence;
    CalcRequest calc;
    bool noRemedies = false, live = false, settled = false;
    std::string chooseCells, chooseMust, chooseNot, sites;
    std::vector<std::string> inputs;
};

inline void addJson(CLI::App& command, bool& json) {
    command.add_flag("--json", json, "Write JSON, with a schema name and version");
}

inline void addPlan(CLI::App& command, std::string& plan) {
    command.add_option("PLAN", plan, "Plan file (GeoPackage)")->required()->type_name("");
}

inline void addChoice(CLI::App& command, PlanChoice& choice) {
    addPlan(command, choice.plan);
    command.add_option("--variant", choice.variant, "Variant by name; else the plan's active one")
        ->type_name("NAME");
    command.add_option("--profile", choice.profile, "Limits of the review from this TOML file")
        ->type_name("FILE");
    command.add_option("--threads", choice.threads, "Threads to compute on, 1 to 256; else one per core")
        ->type_name("N")
        ->check(CLI::Range(1u, 256u).description(""));
}

/// --seed. The library takes a sign, or too many digits, for the greatest number there is: refused instead.
inline void addSeed(CLI::App& command, std::uint64_t& seed, const std::string& what) {
    command.add_option("--seed", seed, what)->type_name("N")->check([](const std::string& text) {
        std::uint64_t n = 0;
        const char* const end = text.data() + text.size();
        const auto [at, fault] = std::from_chars(text.data(), end, n);
        return fault == std::errc{} && at == end
                   ? std::string()
                   : text + " is no seed: give a whole number from 0 to 18446744073709551615";
    });
}

// Commands that search (siting_grammar.cpp).
void addAim(Grammar& g);
void addPropose(Grammar& g);
void addAlternates(Grammar& g);
void addChoose(Grammar& g);
void addIdentify(Grammar& g);

} // namespace fw::cli
