// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/pack.h"

#include "base/text.h"
#include "delivery/export_works.h"
#include "print/cover_pages.h"
#include "print/site_pages.h"
#include "print/working_pages.h"

#include <QBuffer>
#include <QPageLayout>
#include <QPdfWriter>

#include <optional>

namespace fw {

namespace {

bool isOffered(QPageSize::PageSizeId page) {
    return page == QPageSize::A4 || page == QPageSize::Letter || page == QPageSize::A3;
}

Status refusedPage(QPageSize::PageSizeId page) {
    if (isOffered(page)) return Done{};
    return Error{ErrorCode::badInput, "The pack is printed on A4, Letter or A3; choose one of them."};
}

Error stopped() { return {ErrorCode::cancelled, CORE_TEXT("stopped")}; }

QSizeF sheetMm(QPageSize::PageSizeId page) {
    return QPageLayout(QPageSize(page), QPageLayout::Portrait, QMarginsF())
        .fullRect(QPageLayout::Millimeter)
        .size();
}

constexpr double kCounting = 0.3; ///< share of the work

/// One of the drawings of a pack: its share of the whole work.
struct Part {
    const Job& job;
    double from, to;
    void report(std::size_t done, std::size_t all) const {
        job.report(from + (to - from) * static_cast<double>(done) / static_cast<double>(all),
                   CORE_TEXT("drawing the sheets"));
    }
};

// False when it was stopped. @param pages  of the whole, 0 while they are being counted
bool draw(PageSink& sink, const PackContent& content, const PackOptions& options, int pages,
          PackRecord& record, const Part& part) {
    Paper paper(sink, record);
    Flow::Foot foot;
    foot.left = QString::fromStdString(content.overview.planName);
    foot.middle = Pack::tr("issue %1, %2")
                      .arg(QString::fromStdString(content.overview.issue.number),
                           QString::fromStdString(content.overview.issue.date));
    foot.pages = pages;
    Flow flow(paper, foot);
    const std::size_t parts = content.sites.size() + 1;
    if (part.job.stopped()) return false;
    printCover(flow, content, options);
    for (std::size_t i = 0; i < content.sites.size(); ++i) {
        part.report(i + 1, parts);
        if (part.job.stopped()) return false;
        printSite(flow, content, i, options);
    }
    if (options.workings) printWorkings(flow, content);
    paper.painter().end();
    return !part.job.stopped();
}

// "page n of m" needs m: a drawing that is thrown away counts the pages. Empty when it was stopped.
std::optional<int> countedPages(const PackContent& content, const PackOptions& options, const Job& job) {
    CountedPages pages(sheetMm(options.page));
    PackRecord record;
    if (!draw(pages, content, options, 0, record, {job, 0, kCounting})) return std::nullopt;
    return static_cast<int>(record.pages.size());
}

} // namespace

Status printPack(const PackContent& content, const PackOptions& options, const std::filesystem::path& file,
                 PackRecord* record, const Job& job) {
    if (const Status page = refusedPage(options.page); !page) return page.error();
    const auto count = countedPages(content, options, job);
    if (!count) return stopped();
    QByteArray bytes;
    {
        QBuffer buffer(&bytes);
        buffer.open(QIODevice::WriteOnly);
        QPdfWriter writer(&buffer);
        writer.setPageSize(QPageSize(options.page));
        writer.setTitle(QString::fromStdString(content.overview.planName));
        writer.setCreator(QStringLiteral("Fringewright"));
        PdfPages pages(writer);
        PackRecord placed;
        if (!draw(pages, content, options, *count, placed, {job, kCounting, 0.95})) return stopped();
        if (record) *record = placed;
    }
    return writeWhole(file, bytes.toStdString());
}

Result<std::vector<PackPage>> recordPack(const PackContent& content, const PackOptions& options,
                                         PackRecord* record, const Job& job) {
    if (const Status page = refusedPage(options.page); !page) return page.error();
    const auto count = countedPages(content, options, job);
    if (!count) return stopped();
    RecordedPages pages(sheetMm(options.page));
    PackRecord placed;
    if (!draw(pages, content, options, *count, placed, {job, kCounting, 1})) return stopped();
    if (record) *record = placed;
    return pages.take();
}

Status writePack(const Study& study, const Review& review, const Ledger& ledger, const MagneticField& field,
                 const PackOptions& options, const std::filesystem::path& file) {
    const auto content = packContent(study, review, ledger, field, options.issue);
    if (!content) return content.error();
    return printPack(*content, options, file);
}

} // namespace fw
