// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/site_pages.h"

#include "delivery/place_text.h"
#include "print/map_drawing.h"
#include "print/radio_card.h"
#include "print/site_back.h"
#include "print/skyline_strip.h"
#include "print/symbols.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr double kQrMm = 22, kMapMm = 70, kStripMm = 35;

void printHead(Flow& flow, const PackContent& content, std::size_t index) {
    const SiteSheet& s = content.sites[index].sheet;
    Paper& paper = flow.paper();
    const double x = flow.left(), top = flow.y(), w = flow.width() - kQrMm - 18;
    const QRectF code(x + flow.width() - kQrMm, top, kQrMm, kQrMm);
    if (drawQr(paper, code, s.geoUri)) paper.place(code, "QR code");
    TextStyle caption{6.5, false, paper.colors().inkSoft, Qt::AlignRight, 2};
    const double captionH =
        paper.text({code.left() - 14, code.bottom() + 0.1}, kQrMm + 14, q(s.geoUri), caption, "geo address");

    drawBadge(paper, {x + 3, top + 2.6}, QString::number(index + 1), 6, true);
    double y = top + 0.6;
    TextStyle soft{9, false, paper.colors().inkSoft, Qt::AlignLeft, 1};
    const QString kicker = Pack::tr("Site %1 of %2").arg(index + 1).arg(content.sites.size()) +
                           QStringLiteral("  ·  ") + q(content.overview.operatorName);
    y += paper.text({x + 8, y}, w - 8, kicker, soft, "kicker") + 1.6;
    TextStyle name{20, true, paper.colors().ink};
    for (const auto& [pt, lines] : {std::pair{20.0, 1}, {14.0, 2}, {10.5, 4}}) {
        name.pt = pt;
        name.maxLines = lines;
        TextStyle free = name;
        free.maxLines = 0;
        if (LaidText(q(s.name), w, free).lines() <= lines) break;
    }
    y += paper.text({x, y}, w, q(s.name), name, "site name") + 0.4;
    y += paper.text({x, y}, w, q(s.support), {10, false, paper.colors().ink, Qt::AlignLeft, 3}, "support");
    flow.moveTo(std::max(y, code.bottom() + captionH) + 1.4);
}

// Name over value in one column; returns the height.
double printFacts(Paper& paper, const SiteSheet& s, double x, double top, double width) {
    constexpr double kName = 25;
    const TextStyle soft{7.5, false, paper.colors().inkSoft};
    double y = top;
    const auto row = [&](const QString& name, const QString& text, bool bold = false, int lines = 6) {
        if (text.isEmpty()) return;
        TextStyle value{8.5, bold, paper.colors().ink, Qt::AlignLeft, lines};
        const double nameH = paper.text({x, y + 0.35}, kName - 2, name, soft, "fact");
        y += std::max(nameH, paper.text({x + kName, y}, width - kName, text, value, "fact")) + 1.1;
    };
    row(Pack::tr("Position, WGS 84"),
        q(degreesText(s.geo.latDeg)) + QStringLiteral(", ") + q(degreesText(s.geo.lonDeg)), true);
    row(Pack::tr("the same"),
        q(latitudeDms(s.geo.latDeg)) + QStringLiteral(",  ") + q(longitudeDms(s.geo.lonDeg)));
    row(Pack::tr("Plan grid"),
        Pack::tr("E %1 m, N %2 m").arg(s.plane.x, 0, 'f', 2).arg(s.plane.y, 0, 'f', 2) + QLatin1Char('\n') +
            QStringLiteral("%1 (EPSG:%2)").arg(q(s.crsName)).arg(s.epsg));
    row(Pack::tr("Mount"), q(s.support));
    row(Pack::tr("Hold the tape"), q(s.tape));
    row(Pack::tr("Radiation centre"), Pack::tr("%1 m above ground").arg(s.heightAgl, 0, 'f', 1), true);
    row(Pack::tr("Ground"), Pack::tr("%1 m above the height datum").arg(s.groundAmsl, 0, 'f', 1));
    row(Pack::tr("Declination"), q(s.declinationText));
    const double c = std::fabs(s.convergenceDeg);
    row(Pack::tr("Convergence"), Pack::tr("%1 deg: true = grid %2 %1 deg")
                                     .arg(c, 0, 'f', 2)
                                     .arg(s.convergenceDeg < 0 ? QStringLiteral("−") : QStringLiteral("+")));
    row(Pack::tr("Owner"), q(s.owner), false, 3);
    row(Pack::tr("Consent"), q(s.consent));
    row(Pack::tr("Access"), q(s.access), false, 5);
    return y - top;
}

void printPlace(Flow& flow, const PackContent::Site& site) {
    Paper& paper = flow.paper();
    MapStyle style;
    style.inset = true;
    style.focus = site.sheet.mount;
    for (std::size_t i = 0; i < site.sheet.radios.size(); ++i)
        for (const SightMark& m : site.sheet.radios[i].marks)
            style.marks.push_back({m.at, markText(site.sheet, i, m.number)});
    style.ownBuilding = site.sheet.ownBuilding;
    const double top = flow.y();
    MapDrawing map(paper, site.map, QRectF(flow.left(), top, kMapMm, kMapMm), style);
    map.draw();
    const double foot = map.drawFoot(map.frame().bottom(), kMapMm);
    const double x = flow.left() + kMapMm + 6;
    const double facts = printFacts(paper, site.sheet, x, top, flow.width() - kMapMm - 6);
    flow.moveTo(std::max(map.frame().bottom() + foot, top + facts) + 2.5);
}

void printStrip(Flow& flow, const SiteSheet& s) {
    flow.heading(Pack::tr("Skyline from the radiation centre"), kStripMm,
                 Pack::tr("tops by elevation, all round"));
    SkylineStrip strip(flow.paper(), s, QRectF(flow.left(), flow.y(), flow.width(), kStripMm));
    strip.draw();
    flow.down(kStripMm + 2.5);
}

} // namespace

void printSite(Flow& flow, const PackContent& content, std::size_t index, const PackOptions&) {
    const PackContent::Site& site = content.sites[index];
    flow.startPage(q(site.sheet.name));
    const int firstPage = flow.paper().page();
    printHead(flow, content, index);
    printPlace(flow, site);
    printStrip(flow, site.sheet);
    for (std::size_t i = 0; i < site.sheet.radios.size(); ++i) printRadioCard(flow, site.sheet, i);
    printSiteBack(flow, site.sheet, firstPage);
}

} // namespace fw
