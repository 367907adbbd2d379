// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/pack.h"

#include "delivery/export_works.h"
#include "print/cover_pages.h"
#include "print/site_pages.h"

#include <QBuffer>
#include <QPdfWriter>

namespace fw {

namespace {

bool isOffered(QPageSize::PageSizeId page) {
    return page == QPageSize::A4 || page == QPageSize::Letter || page == QPageSize::A3;
}

QByteArray drawn(const PackContent& content, const PackOptions& options, int pages, PackRecord& record) {
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    QPdfWriter device(&buffer);
    device.setPageSize(QPageSize(options.page));
    device.setTitle(QString::fromStdString(content.overview.planName));
    device.setCreator(QStringLiteral("Fringewright"));
    Paper paper(device, record);
    Flow::Foot foot;
    foot.left = QString::fromStdString(content.overview.planName);
    foot.middle = Pack::tr("issue %1, %2")
                      .arg(QString::fromStdString(content.overview.issue.number),
                           QString::fromStdString(content.overview.issue.date));
    foot.pages = pages;
    Flow flow(paper, foot);
    printCover(flow, content, options);
    for (std::size_t i = 0; i < content.sites.size(); ++i) printSite(flow, content, i, options);
    paper.painter().end();
    return bytes;
}

} // namespace

Status printPack(const PackContent& content, const PackOptions& options, const std::filesystem::path& file,
                 PackRecord* record) {
    if (!isOffered(options.page))
        return Error{ErrorCode::badInput, "The pack is printed on A4, Letter or A3; choose one of them."};
    // "page n of m" needs m: the first drawing counts the pages.
    PackRecord counted, final;
    (void)drawn(content, options, 0, counted);
    const QByteArray bytes = drawn(content, options, static_cast<int>(counted.pages.size()), final);
    if (record) *record = final;
    return writeWhole(file, bytes.toStdString());
}

Status writePack(const Study& study, const Review& review, const Ledger& ledger, const MagneticField& field,
                 const PackOptions& options, const std::filesystem::path& file) {
    const auto content = packContent(study, review, ledger, field, options.issue);
    if (!content) return content.error();
    return printPack(*content, options, file);
}

} // namespace fw
