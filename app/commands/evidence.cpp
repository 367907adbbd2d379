// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/drawing.h"
#include "print/evidence_page.h"
#include "study/settled.h"

#include <fmt/format.h>

namespace fw::cli {

int runEvidence(const EvidenceRequest& request, std::stop_token stop, int& argc, char** argv) {
    readyToWrite(request.file, "evidence.pdf");
    const Progress progress(std::move(stop));
    const OpenPlan opened = openAs(request.choice);
    const auto study = computed(opened, request.choice.threads, progress);
    const Review review = reviewAll(*study, {false, {}}, progress.job());
    progress.check();
    const Ledger ledger = take(settle(*study, progress.job(), request.choice.threads));
    const Chance chance =
        take(chanceOf(*study, ledger, {request.draws, request.seed, request.choice.threads}, progress.job()));
    progress.check();
    const Evidence evidence = take(evidenceOf(*study, review, ledger, chance));
    const Drawing drawing(argc, argv);
    if (const Status done = printEvidence(evidence, pageFor(request.paper), request.file); !done)
        throw failureOf(done.error(), exitFile);
    deliver(fmt::format("{}: full cells {}, at target {}\n", request.file, evidence.overview.congested,
                        evidence.overview.atTarget));
    return exitClean;
}

} // namespace fw::cli
