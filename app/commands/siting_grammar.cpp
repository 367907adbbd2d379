// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/grammar.h"

namespace fw::cli {

void addAim(Grammar& g) {
    CLI::App& c = *g.app.add_subcommand("aim", "Where a radio should point: every azimuth and tilt");
    addChoice(c, g.aim.choice);
    c.add_option("CELL", g.aim.cell, "Small cell, radio, or mount with one of them")
        ->required()
        ->type_name("");
    c.add_option("--step", g.aim.stepDeg, "Degrees between azimuths, 1 to 90; 1 unless told")
        ->type_name("DEG")
        ->check(CLI::Range(1.0, 90.0).description(""));
    c.add_option("--tilt", g.aim.tiltsDeg, "Only this tilt, down positive; may be given again")
        ->type_name("DEG")
        ->allow_extra_args(false)
        ->check(CLI::Range(-90.0, 90.0).description(""));
    c.add_flag("--rose", g.aim.rose, "In words: every azimuth, not the lobes alone");
    c.add_option("--apply", g.aim.apply, "Aim the radio along this lobe, 1 for the best")
        ->type_name("N")
        ->check(CLI::PositiveNumber.description(""));
    c.add_flag("--working,--explain", g.aim.working, "Open the steps behind it");
    addJson(c, g.aim.json);
}

void addAlternates(Grammar& g) {
    AlternatesRequest& r = g.alternates;
    CLI::App& c = *g.app.add_subcommand("alternates", "Other mounts for a small cell whose owner refuses");
    addChoice(c, r.choice);
    c.add_option("CELL", r.cell, "Small cell, radio, or mount with one of them")->required()->type_name("");
    c.add_option("--count", r.count, "How many are told, 1 to 20; 3 unless told")
        ->type_name("N")
        ->check(CLI::Range(1, 20).description(""));
    c.add_option("--radius", r.radiusM, "Metres within which they are looked for; 150 unless told")
        ->type_name("M")
        ->check(CLI::Range(1.0, 2000.0).description(""));
    c.add_option("--apply", r.apply, "Note the refusal and take this one, 1 for the first")
        ->type_name("N")
        ->check(CLI::PositiveNumber.description(""));
    c.add_flag("--working,--explain", r.working, "Open the steps behind each");
    addJson(c, r.json);
}

void addPropose(Grammar& g) {
    CLI::App& c = *g.app.add_subcommand("propose", "Changes that clear a finding and block nothing else");
    addChoice(c, g.propose.choice);
    c.add_option("--only", g.propose.only, "Only findings about this mount, radio or small cell")
        ->type_name("NAME");
    c.add_option("--finding", g.propose.finding, "Only this one, by its number in the list")
        ->type_name("N")
        ->check(CLI::PositiveNumber.description(""));
    c.add_flag("--notes", g.propose.notes, "For notes too, not warnings and blocks alone");
    c.add_option("--apply", g.propose.apply, "With --finding: take this proposal, 1 for the first")
        ->type_name("N")
        ->check(CLI::PositiveNumber.description(""));
    c.add_flag("--working,--explain", g.propose.working, "Open the steps behind each");
    addJson(c, g.propose.json);
}

void addChoose(Grammar& g) {
    ChooseRequest& r = g.choose;
    CLI::App& c = *g.app.add_subcommand("choose", "A set of mounts and azimuths: most relief, or least cost");
    addChoice(c, r.choice);
    c.add_option("--cells", g.chooseCells,
                 "Macro cells to relieve, parted by commas; else the congested ones")
        ->type_name("NAMES");
    auto* count = c.add_option("--budget-count", r.budgetCount, "Most relief for so many new radios");
    auto* money = c.add_option("--budget-money", r.budgetMoney, "Most relief for so much money");
    auto* reach = c.add_flag("--reach", r.reach, "Every target at least cost");
    count->type_name("N")->check(CLI::Range(0, 100000).description(""));
    money->type_name("MONEY")->check(CLI::Range(std::int64_t{0}, std::int64_t{1} << 50).description(""));
    count->excludes(money)->excludes(reach);
    money->excludes(reach);
    c.add_flag("--fewest", r.byCount, "With --reach: fewest radios instead of least money")->needs(reach);
    auto* chance = c.add_option("--chance", r.chance,
                                "With --reach: each target at this chance (%), inputs drawn as they may be");
    chance->type_name("PERCENT")->needs(reach)->check(CLI::Range(1.0, 99.0).description(""));
    c.add_option("--draws", r.draws, "Draws behind that chance; 300 unless told")
        ->type_name("N")
        ->needs(chance)
        ->check(CLI::Range(20, 100000).description(""));
    c.add_option("--must", g.chooseMust, "Mounts that must be in, parted by commas")->type_name("NAMES");
    c.add_option("--not", g.chooseNot, "Mounts that must not, parted by commas")->type_name("NAMES");
    c.add_flag("--anew", r.anew, "Cells chosen so far are free to go; else they stay and cost nothing");
    c.add_flag("--consent", r.consentGiven, "Only mounts whose owner agreed");
    c.add_option("--spacing", r.spacingM, "Between two mounts, at least (m); else 40")
        ->type_name("M")
        ->check(CLI::Range(0.0, 2000.0).description(""));
    c.add_option("--per-mount", r.perMount, "Radios on a mount at most; else 1")
        ->type_name("N")
        ->check(CLI::Range(1, 4).description(""));
    c.add_option("--per-street", r.perStreet, "Radios in a street at most; else no limit")
        ->type_name("N")
        ->check(CLI::Range(1, 1000).description(""));
    c.add_option("--costs", r.costs, "Table of costs (TOML); else the one installed")->type_name("FILE");
    addSeed(c, r.seed, "Equal seeds give equal choices; 1 unless told");
    c.add_option("--iterations", r.iterations, "Rounds of the search; 240 unless told")
        ->type_name("N")
        ->check(CLI::Range(0, 1000000).description(""));
    auto* apply = c.add_flag("--apply", r.apply, "Put the choice into the plan");
    c.add_option("--as", r.as, "Put it into the plan as a new variant of this name")
        ->type_name("NAME")
        ->excludes(apply);
    c.add_flag("--working,--explain", r.working, "Open the steps behind the numbers");
    addJson(c, r.json);
}

void addIdentify(Grammar& g) {
    IdentifyRequest& r = g.identify;
    CLI::App& c =
        *g.app.add_subcommand("identify", "PCI, root sequences, numbers and neighbours of the small cells");
    addChoice(c, r.choice);
    c.add_option("--pci", r.pciLte, "PCI for LTE, like 100-119,140; else the plan's, or all")
        ->type_name("RANGES");
    c.add_option("--pci-nr", r.pciNr, "PCI for NR")->type_name("RANGES");
    c.add_option("--roots", r.rootsLte, "Logical root sequences for LTE; else the plan's, or all")
        ->type_name("RANGES");
    c.add_option("--roots-nr", r.rootsNr, "Logical root sequences for NR")->type_name("RANGES");
    c.add_option("--enb-range", r.enb, "eNB numbers to give, one a mount; else the plan's")
        ->type_name("RANGES");
    c.add_option("--gnb-range", r.gnb, "gNB numbers to give, one a mount; else the plan's")
        ->type_name("RANGES");
    c.add_option("--gnb-bits", r.gnbBits, "Length of a gNB number, 22 to 32; else the plan's, 24")
        ->type_name("N")
        ->check(CLI::Range(22, 32).description(""));
    c.add_option("--cell-range", r.cells, "Cell numbers within a base station; else the plan's, 0-255")
        ->type_name("RANGES");
    c.add_option("--margin", r.marginDb, "Handover margin of neighbours (dB), 0 to 30; else the profile's, 6")
        ->type_name("DB")
        ->check(CLI::Range(0.0, 30.0).description(""));
    c.add_option("--share", r.leastShare, "Ground that neighbours share (%), 0 to 100; else the profile's, 2")
        ->type_name("PERCENT")
        ->check(CLI::Range(0.0, 100.0).description(""));
    c.add_option("--neighbours", r.mostNeighbours,
                 "Neighbours of a cell at most, 1 to 256; else the profile's, 32")
        ->type_name("N")
        ->check(CLI::Range(1, 256).description(""));
    c.add_option("--root-reuse", r.rootReuseM,
                 "Distance (m) within which no root sequence is shared; else the profile's, 2000")
        ->type_name("M")
        ->check(CLI::Range(0.0, 100000.0).description(""));
    c.add_option(
         "--preamble", r.preambles,
         "Preamble formats of NR carriers, like 630000=A2,640000=0; else short on TDD of 30 kHz and more")
        ->type_name("ARFCN=FORMAT");
    c.add_flag("--anew", r.anew, "Number all small cells anew; else those in order keep what they have");
    c.add_option("--sheet", r.sheet, "Write the integration sheet to this .csv or .xlsx file")
        ->type_name("FILE");
    c.add_flag("--apply", r.apply, "Put the identities into the plan");
    c.add_flag("--working,--explain", r.working, "Open the steps behind each cell's identities");
    addJson(c, r.json);
}

} // namespace fw::cli
