// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/pack_sheets.h"

#include "base/parallel.h"
#include "base/text.h"
#include "review/review.h"
#include "study/settled.h"

#include <algorithm>

namespace fw {

namespace {

// One core is left to the window.

Error stopped() { return {ErrorCode::cancelled, CORE_TEXT("stopped")}; }

/// A part of a piece of work: its progress runs over that part of the whole. The whole must outlive it.
Job part(const Job& whole, double from, double to) {
    Job job;
    job.stop = whole.stop;
    if (whole.progress)
        job.progress = [&whole, from, to](double share, std::string_view what) {
            whole.report(from + share * (to - from), what);
        };
    return job;
}

} // namespace

bool PackChoice::operator==(const PackChoice& o) const {
    return sites == o.sites && options.page == o.options.page && options.hillshade == o.options.hillshade &&
           options.workings == o.options.workings && options.issue.number == o.options.issue.number &&
           options.issue.date == o.options.issue.date;
}

Result<std::shared_ptr<const PackContent>> buildPackContent(const std::shared_ptr<const Study>& study,
                                                            const std::optional<Ledger>& settled,
                                                            const MagneticField& field, const Job& job) {
    const Review review = reviewAll(*study, {}, part(job, 0, 0.5));
    if (job.stopped()) return stopped();
    std::optional<Ledger> ledger = settled;
    if (!ledger) {
        auto made = settle(*study, part(job, 0.5, 0.8), spareThreads());
        if (!made) return made.error();
        ledger = *std::move(made);
    }
    if (job.stopped()) return stopped();
    job.report(0.8, CORE_TEXT("describing the sites"));
    auto content = packContent(*study, review, *ledger, field);
    if (!content) return content.error();
    return std::make_shared<const PackContent>(*std::move(content));
}

Result<std::shared_ptr<const PackSheets>> drawPackSheets(const std::shared_ptr<const PackContent>& whole,
                                                         const PackChoice& choice, const Job& job) {
    auto out = std::make_shared<PackSheets>();
    out->whole = whole;
    out->choice = choice;
    out->content = *whole;
    keepOnly(out->content, choice.sites);
    Issue& issue = out->content.overview.issue;
    issue = choice.options.issue;
    if (issue.date.empty()) issue.date = out->content.overview.date;
    auto pages = recordPack(out->content, choice.options, nullptr, job);
    if (!pages) return pages.error();
    out->pages = *std::move(pages);
    return std::shared_ptr<const PackSheets>(std::move(out));
}

} // namespace fw
