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
    c.add_flag("--working", g.aim.working, "Open the steps behind it");
    addJson(c, g.aim.json);
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
    c.add_flag("--working", g.propose.working, "Open the steps behind each");
    addJson(c, g.propose.json);
}

} // namespace fw::cli
