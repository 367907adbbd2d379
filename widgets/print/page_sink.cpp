// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/page_sink.h"

#include "theme/palette.h"

#include <cmath>

namespace fw {

PdfPages::PdfPages(QPdfWriter& writer) : m_writer(writer) {
    m_writer.setResolution(static_cast<int>(std::lround(kUnitsPerMm * 25.4)));
    m_writer.setPageMargins(QMarginsF(0, 0, 0, 0));
}

QSizeF PdfPages::sheetMm() const { return m_writer.pageLayout().fullRect(QPageLayout::Millimeter).size(); }

void PdfPages::nextPage(QPainter& painter) {
    if (painter.isActive())
        m_writer.newPage();
    else
        painter.begin(&m_writer);
}

void CountedPages::nextPage(QPainter& painter) {
    if (painter.isActive()) painter.end();
    m_page = QPicture();
    painter.begin(&m_page);
}

void RecordedPages::nextPage(QPainter& painter) {
    if (painter.isActive()) painter.end();
    m_pages.push_back({QPicture(), m_sheetMm});
    painter.begin(&m_pages.back().picture);
}

void PackPage::paint(QPainter& painter, const QRectF& target) const {
    painter.save();
    painter.setClipRect(target, Qt::IntersectClip);
    painter.fillRect(target, PaperPalette{}.paper);
    painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing |
                           QPainter::SmoothPixmapTransform);
    painter.translate(target.topLeft());
    painter.scale(target.width() / (sheetMm.width() * PageSink::kUnitsPerMm),
                  target.height() / (sheetMm.height() * PageSink::kUnitsPerMm));
    // QPicture::play() moves its own read position: a copy leaves this one alone.
    QPicture replay = picture;
    replay.play(&painter);
    painter.restore();
}

} // namespace fw
