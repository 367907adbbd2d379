// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/command_line.h"

#include "commands/grammar.h"
#include "commands/nearest.h"

#include <fmt/format.h>

namespace fw::cli {
namespace {

constexpr const char* kAbout =
    "Plans outdoor small cells: load and fringe of macro cells, relief, rules of orientation\n"
    "and siting, site sheets. Planning guidance only: local codes and licensed practice come first.\n";

constexpr const char* kFooter =
    "Results go to the standard output, everything else to the standard error stream.\n"
    "Exit codes: 0 clean, 1 findings that block (review, audit), faults (check) or refused rows (add),\n"
    "2 usage, 3 cannot read or write, 4 fault of the program, 130 interrupted.\n"
    "Environment: NO_COLOR, FRINGEWRIGHT_DATA (folder of the installed data).\n"
    "fringewright COMMAND --help says more about a command; fringewright alone, or with a plan,\n"
    "opens the window.";

void addCheck(Grammar& g) {
    CLI::App& c = *g.app.add_subcommand("check", "Damage of a plan file; exit code 1 when there is some");
    addPlan(c, g.check.plan);
    c.add_option("--repair", g.check.repair, "Write a copy without the faults to this new file")
        ->type_name("OUT");
    addJson(c, g.check.json);
}

void addAudit(Grammar& g) {
    CLI::App& c = *g.app.add_subcommand("audit", "Doubts about the inventory; exit code 1 when some block");
    addPlan(c, g.audit.plan);
    c.add_option("--apply", g.audit.apply, "Apply these proposals, by number, parted by commas; or all")
        ->type_name("N");
    c.add_option("--measurements", g.audit.measurements,
                 "Measured levels: shows sectors whose cells are swapped")
        ->type_name("FILE");
    c.add_option("--map", g.audit.map, "A field's column of the measurements, and unit: field=column:unit")
        ->type_name("WORD")
        ->allow_extra_args(false);
    c.add_option("--crs", g.audit.crs, "Reference system of the measurements, by EPSG code")->type_name("N");
    c.add_option("--counters", g.audit.counters, "Counters: shows cells that the plan does not know")
        ->type_name("FILE");
    addJson(c, g.audit.json);
}

void addNew(Grammar& g) {
    CLI::App& c = *g.app.add_subcommand("new", "An empty plan to take files into");
    c.add_option("PLAN", g.fresh.plan, "Plan file to write (NAME.plan.gpkg)")->required()->type_name("");
    c.add_option("--epsg", g.fresh.epsg,
                 "Its projected reference system, by EPSG code; with --at: else the UTM zone")
        ->type_name("N");
    c.add_option("--at", g.fresh.at,
                 "Middle of the work area: \"latitude, longitude\"; else from the first rows")
        ->type_name("PLACE");
    c.add_option("--side", g.fresh.sideKm, "Side of that work area (km), 0.5 to 20; else 4")
        ->type_name("KM")
        ->check(CLI::Range(0.5, 20.0).description(""));
    c.add_option("--name", g.fresh.name, "Name of the plan; else the file's")->type_name("NAME");
    c.add_option("--date", g.fresh.date, "Date of the plan, YYYY-MM-DD; else today")->type_name("DAY");
}

void addAdd(Grammar& g) {
    AddRequest& r = g.add;
    CLI::App& c = *g.app.add_subcommand("add", "Take a file in: what it holds, what is refused and why");
    addPlan(c, r.plan);
    c.add_option("KIND", r.kind, "What it holds; \"template\" lists the kinds")->required()->type_name("");
    c.add_option("FILE", r.file, "Table, layer or raster; none with --leave")->type_name("");
    c.add_flag("--leave", r.leave, "Rasters: the plan does without the one it uses; its file stays");
    c.add_option("--map", r.map, "A field's column, and unit: field=column, field=column:unit, field=:unit")
        ->type_name("WORD")
        ->allow_extra_args(false);
    c.add_option("--crs", r.crs, "Reference system of the file, by EPSG code")->type_name("N");
    c.add_option("--layer", r.layer, "Layer or sheet of the file")->type_name("NAME");
    c.add_flag("--swap", r.swap, "The file's two coordinates are exchanged");
    c.add_option("--default-height", r.defaultHeightM, "Height of buildings that have none (m); else 6")
        ->type_name("M");
    c.add_option("--cell", r.cellM,
                 "Rasters: side of the plan's cells (m), 0.5 to 128; else about the file's")
        ->type_name("M")
        ->check(CLI::Range(0.5, 128.0).description(""));
    c.add_option("--weight", r.weights,
                 "Land cover: what a square metre of a class weighs: class=weight; street 1, yard 0.25")
        ->type_name("WORD")
        ->allow_extra_args(false);
    c.add_flag("--feet", r.feet, "Terrain: the heights are in feet");
    c.add_flag("--network-hour", r.networkHour, "Counters: one busy hour for all cells, not each its own");
    c.add_option("--dates", r.dates, "Where 03/04 is ambiguous: day or month first")
        ->type_name("WHAT")
        ->check(CLI::IsMember({"day", "month"}).description(""));
    c.add_option("--encoding", r.encoding, "Of a text file: utf-8, utf-16le, utf-16be, latin-1; else found")
        ->type_name("NAME");
    c.add_option("--delimiter", r.delimiter, "Of a text file: comma, semicolon, tab, bar; else found")
        ->type_name("NAME")
        ->check(CLI::IsMember({"comma", "semicolon", "tab", "bar"}).description(""));
    c.add_option("--decimal", r.decimal, "Of a text file: point or comma; else found")
        ->type_name("NAME")
        ->check(CLI::IsMember({"point", "comma"}).description(""));
    c.add_option("--header", r.headerLine, "Of a text file: line of the header; else found")->type_name("N");
    c.add_option("--refused", r.refusedTo, "Write the refused rows to this CSV file")->type_name("OUT");
    c.add_flag("--forget", r.forget, "Do not use or remember mappings of such files");
    c.add_flag("--dry-run", r.dryRun, "Only say what would be done");
    addJson(c, r.json);
}

void addCalibrate(Grammar& g) {
    CalibrateRequest& r = g.calibrate;
    CLI::App& c = *g.app.add_subcommand("calibrate", "Compare levels with a drive test; offsets of cells");
    addPlan(c, r.plan);
    c.add_option("FILE", r.file, "Measured levels: place, RSRP, and cell or PCI and channel")
        ->required()
        ->type_name("");
    c.add_flag("--slope", r.slope, "Fit a slope over distance too (told, not applied)");
    c.add_flag("--indoor", r.indoor, "Fit the entry loss to points indoors");
    c.add_flag("--apply", r.apply, "Put the offsets into the plan");
    c.add_flag("--working,--explain", r.working, "Open the steps behind each number");
    c.add_option("--residuals", r.residualsTo,
                 "Write measured less predicted, point by point, to this CSV file")
        ->type_name("OUT");
    c.add_option("--map", r.map, "A field's column, and unit: field=column, field=column:unit, field=:unit")
        ->type_name("WORD")
        ->allow_extra_args(false);
    c.add_option("--crs", r.crs, "Reference system of the file, by EPSG code")->type_name("N");
    c.add_option("--layer", r.layer, "Layer or sheet of the file")->type_name("NAME");
    c.add_flag("--swap", r.swap, "The file's two coordinates are exchanged");
    c.add_option("--threads", r.threads, "Threads to compute on, 1 to 256; else one per core")
        ->type_name("N")
        ->check(CLI::Range(1u, 256u).description(""));
    addJson(c, r.json);
}

void addAfter(Grammar& g) {
    AfterRequest& r = g.after;
    CLI::App& c = *g.app.add_subcommand("after", "Load once built: relief as measured against predicted");
    addPlan(c, r.plan);
    c.add_option("FILE", r.file, "Counters from after, or from before and after")->required()->type_name("");
    c.add_option("--before", r.before, "Counters from before; else in FILE, or as the plan keeps them")
        ->type_name("FILE");
    c.add_option("--on-air", r.onAir, "Day on which the small cells went on air, YYYY-MM-DD")
        ->type_name("DAY");
    c.add_flag("--apply", r.apply, "Put what was learnt into the plan");
    c.add_option("--map", r.map, "A field's column, and unit: field=column, field=column:unit, field=:unit")
        ->type_name("WORD")
        ->allow_extra_args(false);
    c.add_option("--layer", r.layer, "Layer or sheet of the file")->type_name("NAME");
    c.add_option("--dates", r.dates, "Where 03/04 is ambiguous: day or month first")
        ->type_name("WHAT")
        ->check(CLI::IsMember({"day", "month"}).description(""));
    c.add_option("--threads", r.threads, "Threads to compute on, 1 to 256; else one per core")
        ->type_name("N")
        ->check(CLI::Range(1u, 256u).description(""));
    c.add_flag("--working,--explain", r.working, "Open the steps behind each number");
    addJson(c, r.json);
}

void addTemplate(Grammar& g) {
    CLI::App& c =
        *g.app.add_subcommand("template", "A table of one kind with headers and an example, as CSV");
    c.add_option("KIND", g.form.kind, "Kind; left out: the list of kinds")->type_name("");
    addJson(c, g.form.json);
}

void addReview(Grammar& g) {
    CLI::App& c = *g.app.add_subcommand("review", "Findings; exit code 1 when some block");
    addChoice(c, g.review.choice);
    c.add_option("--only", g.review.only, "Only about this mount, radio or small cell")->type_name("NAME");
    c.add_flag("--no-remedies", g.noRemedies, "Leave out the search for what clears a finding");
    c.add_flag("--working,--explain", g.review.working, "Open the steps behind each measured value");
    addJson(c, g.review.json);
}

void addFit(Grammar& g) {
    CLI::App& c = *g.app.add_subcommand("fit", "How well each small cell fits, 0 to 100, and why");
    addChoice(c, g.fit.choice);
    c.add_option("--only", g.fit.only, "Only about this mount, radio or small cell")->type_name("NAME");
    c.add_flag("--working,--explain", g.fit.working, "Open the steps behind each number");
    addJson(c, g.fit.json);
}

void addLedger(Grammar& g) {
    CLI::App& c = *g.app.add_subcommand("ledger", "Load before and after, cell by cell");
    addChoice(c, g.ledger.choice);
    c.add_flag("--live", g.live, "Only with neighbours at their measured loads");
    c.add_flag("--settled", g.settled, "Only with loads that agree with each other");
    c.add_flag("--all", g.ledger.all, "In words: cells too that neither gain nor lose");
    c.add_flag("--uplink", g.ledger.uplink, "The uplink too, where it was measured");
    c.add_flag("--working,--explain", g.ledger.working, "Open the steps behind each number");
    addJson(c, g.ledger.json);
}

void addChance(Grammar& g) {
    CLI::App& c =
        *g.app.add_subcommand("chance", "How sure it is that each target is reached, and on what it hangs");
    addChoice(c, g.chance.choice);
    c.add_option("--draws", g.chance.draws, "How often to draw; 500 unless told")
        ->type_name("N")
        ->check(CLI::Range(1, 100000));
    addSeed(c, g.chance.seed, "Equal seeds give equal draws; 1 unless told");
    c.add_flag("--live", g.chance.live, "Round the live ledger instead of the settled one");
    c.add_flag("--all", g.chance.all, "In words: cells too that are not congested");
    c.add_flag("--working,--explain", g.chance.working, "Open the steps behind each number");
    addJson(c, g.chance.json);
}

void addVariants(Grammar& g) {
    CLI::App& c = *g.app.add_subcommand("variants", "What each variant of the plan comes to, side by side");
    addChoice(c, g.variants.choice);
    c.add_option("--draws", g.variants.draws, "Draws for the chances, 0 for none; 500 unless told")
        ->type_name("N")
        ->check(CLI::Range(0, 100000));
    addSeed(c, g.variants.seed, "Equal seeds give equal draws; 1 unless told");
    c.add_option("--costs", g.variants.costs, "Table of costs (TOML); else the one installed")
        ->type_name("FILE");
    c.add_flag("--working,--explain", g.variants.working, "Open the steps behind each number");
    addJson(c, g.variants.json);
}

void addPack(Grammar& g) {
    CLI::App& c = *g.app.add_subcommand("pack", "Site sheets (PDF) and the works as data");
    addChoice(c, g.pack.choice);
    c.add_option("-o,--output", g.pack.folder, "Folder to write to; made where it is missing")
        ->required()
        ->type_name("DIR");
    c.add_option("--sites", g.sites, "Only these mounts, by name, parted by commas")->type_name("NAMES");
    c.add_option("--paper", g.pack.paper, "A4, A3 or Letter; else A4")
        ->type_name("SIZE")
        ->check(CLI::IsMember({"A4", "A3", "Letter"}).description(""));
    c.add_flag("--working,--explain", g.pack.working, "After the sheets, how their figures came about");
}

void addEvidence(Grammar& g) {
    CLI::App& c =
        *g.app.add_subcommand("evidence", "One page (PDF) for whoever approves: gain, chance, alternatives");
    addChoice(c, g.evidence.choice);
    c.add_option("-o,--output", g.evidence.file, "File to write; replaced where it is there")
        ->required()
        ->type_name("FILE");
    c.add_option("--paper", g.evidence.paper, "A4, A3 or Letter; else A4")
        ->type_name("SIZE")
        ->check(CLI::IsMember({"A4", "A3", "Letter"}).description(""));
    c.add_option("--draws", g.evidence.draws, "Draws for the chances; 500 unless told")
        ->type_name("N")
        ->check(CLI::Range(1, 100000));
    addSeed(c, g.evidence.seed, "Equal seeds give equal draws; 1 unless told");
}

void addCalc(Grammar& g) {
    CLI::App& c = *g.app.add_subcommand("calc", "One published model, with its steps and its source");
    c.add_option("NAME", g.calc.model, "Model, as --list names it")->type_name("");
    c.add_option("INPUTS", g.inputs, "Inputs as key=value")->type_name("");
    c.add_flag("--list", g.calc.list, "List the models (or the one named) with inputs, ranges and source");
    addJson(c, g.calc.json);
}

void build(Grammar& g) {
    g.app.set_help_flag("-h,--help", "Print this help and exit");
    g.app.set_version_flag("--version", "fringewright " FW_VERSION, "Print the version and exit");
    g.app.require_subcommand(0, 1);
    g.app.get_formatter()->label("SUBCOMMAND", "COMMAND");
    g.app.get_formatter()->label("REQUIRED", "(required)");
    g.app.get_formatter()->column_width(26);
    g.app.footer(kFooter);
    CLI::App& info = *g.app.add_subcommand("info", "What is in a plan");
    addPlan(info, g.info.plan);
    addJson(info, g.info.json);
    addCheck(g);
    addAudit(g);
    addNew(g);
    addAdd(g);
    addCalibrate(g);
    addAfter(g);
    addTemplate(g);
    addReview(g);
    addFit(g);
    addLedger(g);
    addChance(g);
    addVariants(g);
    addAim(g);
    addPropose(g);
    addAlternates(g);
    addChoose(g);
    addIdentify(g);
    addPack(g);
    addEvidence(g);
    addCalc(g);
    for (CLI::App* each : g.app.get_subcommands({})) each->footer("")->group("Commands");
}

CLI::App* chosen(Grammar& g) {
    const auto all = g.app.get_subcommands();
    return all.empty() ? nullptr : all.front();
}

Misuse misuse(Grammar& g, const std::string& why) {
    CLI::App* command = chosen(g);
    const std::string name = command ? "fringewright " + command->get_name() : "fringewright";
    const bool ends = why.ends_with('.') || why.ends_with('?');
    return {fmt::format("{}: {}{} See {} --help.", name, why, ends ? "" : ".", name)};
}

std::vector<std::string> optionNames(const CLI::App& command) {
    std::vector<std::string> names;
    for (const CLI::Option* o : command.get_options())
        for (const std::string& name : o->get_lnames()) names.push_back("--" + name);
    return names;
}

// A plan named without a command is opened in the window.
bool isPlanName(const std::string& what) {
    return !what.starts_with("-") && (what.ends_with(".gpkg") || what.find('/') != std::string::npos);
}

Request unexpected(Grammar& g) {
    const auto rest = g.app.remaining(true);
    const std::string what = rest.empty() ? "" : rest.front();
    CLI::App* command = chosen(g);
    if (!command && rest.size() == 1 && isPlanName(what)) return WindowRequest{what};
    if (what.starts_with("-"))
        return misuse(g, fmt::format("There is no option \"{}\".{}", what,
                                     didYouMean(what, optionNames(command ? *command : g.app))));
    if (command) return misuse(g, fmt::format("\"{}\" is one argument too many", what));
    std::vector<std::string> names;
    for (const CLI::App* each : g.app.get_subcommands({})) names.push_back(each->get_name());
    return misuse(g, fmt::format("There is no command \"{}\".{}", what, didYouMean(what, names)));
}

Request finishCalc(Grammar& g) {
    if (!g.calc.list && g.calc.model.empty()) return misuse(g, "Name a model, or ask for --list.");
    if (g.calc.list && !g.inputs.empty()) return misuse(g, "--list takes no inputs.");
    for (const std::string& each : g.inputs) {
        const auto equals = each.find('=');
        if (equals == std::string::npos || equals == 0)
            return misuse(g, fmt::format("\"{}\" is not an input; write key=value.", each));
        if (!g.calc.inputs.emplace(each.substr(0, equals), each.substr(equals + 1)).second)
            return misuse(g, fmt::format("{} is given twice.", each.substr(0, equals)));
    }
    return std::move(g.calc);
}

Request finishAdd(Grammar& g) {
    if (g.add.leave && !g.add.file.empty()) return misuse(g, "--leave takes no FILE.");
    if (!g.add.leave && g.add.file.empty()) return misuse(g, "FILE is required.");
    return std::move(g.add);
}

std::vector<std::string> partsOf(const std::string& list) {
    std::vector<std::string> out;
    for (std::size_t from = 0; from < list.size();) {
        const std::size_t comma = std::min(list.find(',', from), list.size());
        if (comma > from) out.push_back(list.substr(from, comma - from));
        from = comma + 1;
    }
    return out;
}

Request finishPack(Grammar& g) {
    g.pack.sites = partsOf(g.sites);
    return std::move(g.pack);
}

Request finishChoose(Grammar& g) {
    ChooseRequest& r = g.choose;
    if (!r.budgetCount && !r.budgetMoney && !r.reach)
        return misuse(g, "Say what is wanted: --budget-count, --budget-money or --reach.");
    r.cells = partsOf(g.chooseCells);
    r.must = partsOf(g.chooseMust);
    r.mustNot = partsOf(g.chooseNot);
    return std::move(r);
}

Request finish(Grammar& g) {
    const CLI::App* command = chosen(g);
    if (!command) return WindowRequest{};
    const std::string& name = command->get_name();
    if (name == "info") return std::move(g.info);
    if (name == "check") return std::move(g.check);
    if (name == "calibrate") return std::move(g.calibrate);
    if (name == "after") return std::move(g.after);
    if (name == "audit") return std::move(g.audit);
    if (name == "new") return std::move(g.fresh);
    if (name == "add") return finishAdd(g);
    if (name == "template") return std::move(g.form);
    if (name == "fit") return std::move(g.fit);
    if (name == "chance") return std::move(g.chance);
    if (name == "variants") return std::move(g.variants);
    if (name == "aim") return std::move(g.aim);
    if (name == "propose") return std::move(g.propose);
    if (name == "choose") return finishChoose(g);
    if (name == "identify") return std::move(g.identify);
    if (name == "alternates") return std::move(g.alternates);
    if (name == "pack") return finishPack(g);
    if (name == "evidence") return std::move(g.evidence);
    if (name == "calc") return finishCalc(g);
    if (name == "ledger") {
        g.ledger.live = g.live || !g.settled;
        g.ledger.settled = g.settled || !g.live;
        return std::move(g.ledger);
    }
    g.review.remedies = !g.noRemedies;
    return std::move(g.review);
}

Request parse(Grammar& g, int argc, const char* const* argv) {
    try {
        g.app.parse(argc, argv);
    } catch (const CLI::CallForHelp&) {
        return Answer{g.app.help()};
    } catch (const CLI::CallForVersion& version) {
        return Answer{std::string(version.what()) + "\n"};
    } catch (const CLI::ExtrasError&) {
        return unexpected(g);
    } catch (const CLI::ParseError& e) {
        return misuse(g, e.what());
    }
    return finish(g);
}

} // namespace

Request parseCommandLine(int argc, const char* const* argv) try {
    Grammar grammar(kAbout);
    build(grammar);
    return parse(grammar, argc, argv);
} catch (const std::exception& e) {
    return Misuse{fmt::format("fringewright: the command line cannot be read: {}.", e.what())};
}

} // namespace fw::cli
