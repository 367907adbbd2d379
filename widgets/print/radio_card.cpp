// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/radio_card.h"

#include "delivery/place_text.h"
#include "print/skyline_strip.h"
#include "print/symbols.h"
#include "print/tilt_drawing.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr double kAimMm = 42, kTiltMm = 46, kTiltDrawMm = 16, kCardGapMm = 4;

double printAim(Paper& paper, const RadioSheet& r, double x, double top) {
    const auto line = [&](double y, const QString& number, double pt, const QString& word) {
        const TextStyle big{pt, true, paper.colors().ink},
            small{8.5, false, paper.colors().inkSoft, Qt::AlignLeft, 1};
        const double h = paper.text({x, y}, kAimMm, number, big, "azimuth");
        const double w = Paper::textWidth(number, big) + 1.5;
        // Both on one base line: figures of either size stand 0.21 of their line above its foot.
        const double smallH = Paper::textHeight(word, kAimMm - w, small);
        paper.text({x + w, y + h - smallH - 0.21 * (h - smallH)}, kAimMm - w, word, small, "azimuth word");
        return h;
    };
    double y = top;
    y += line(y, q(azimuthText(r.azimuthTrue)) + QStringLiteral("°"), 25, Pack::tr("true"));
    if (r.azimuthMagnetic)
        y += line(y, q(azimuthText(*r.azimuthMagnetic)) + QStringLiteral("°"), 17, Pack::tr("magnetic"));
    else
        y += paper.text({x, y}, kAimMm, Pack::tr("magnetic: see declination"), {8.5}, "azimuth word");
    return y - top;
}

double printTilt(Paper& paper, const SiteSheet& s, const RadioSheet& r, double x, double top) {
    drawTilt(paper, r, s.kind, QRectF(x, top, kTiltMm, kTiltDrawMm));
    double y = top + kTiltDrawMm + 0.4;
    const QString tilt = Pack::tr("%1° %2").arg(std::fabs(r.tiltDeg), 0, 'f', 1).arg(q(r.tiltWord));
    const TextStyle bold{10, true, paper.colors().ink}, soft{7, false, paper.colors().inkSoft};
    const double h = paper.text({x, y}, kTiltMm, tilt, bold, "tilt");
    const double w = Paper::textWidth(tilt, bold) + 2;
    const QString ground = r.meetsGroundM ? Pack::tr("level ground at %1 m").arg(std::lround(*r.meetsGroundM))
                           : r.tiltDeg < -0.05 ? Pack::tr("above the horizon")
                                               : Pack::tr("along the horizon");
    paper.text({x + w, y + 0.7}, kTiltMm - w, ground, soft, "tilt word");
    y += std::max(h, Paper::textHeight(ground, kTiltMm - w, soft) + 0.7);
    return y - top;
}

double printSettings(Paper& paper, const RadioSheet& r, double x, double top, double width) {
    double y = top;
    const TextStyle plain{8.5, false, paper.colors().ink}, soft{8, false, paper.colors().inkSoft};
    const auto say = [&](const QString& text, const TextStyle& style) {
        y += paper.text({x, y}, width, text, style, "setting");
    };
    for (const CellSheet& c : r.cells) {
        say(q(c.name), {8.5, true, paper.colors().ink, Qt::AlignLeft, 2});
        say(Pack::tr("%1 %2, channel %3, %4 MHz, %5 MHz %6")
                .arg(q(c.technology), q(c.band))
                .arg(c.channel)
                .arg(c.frequencyMHz, 0, 'f', 2)
                .arg(c.bandwidthMHz)
                .arg(q(c.duplex)),
            plain);
        say(Pack::tr("PCI %1, bias %2 dB").arg(c.pci).arg(c.biasDb) +
                (c.powerDownDb > 0 ? Pack::tr(", power down by %1 dB").arg(c.powerDownDb) : QString()),
            plain);
        y += 0.8;
    }
    const QString power = Pack::tr("Power %1 dBm = %2 W").arg(r.powerDbm, 0, 'f', 1).arg(r.powerW, 0, 'f', 1);
    say(power + (r.ports == 1 ? Pack::tr(", one port") : Pack::tr(", all %1 ports together").arg(r.ports)),
        {8.5, true, paper.colors().ink});
    say(Pack::tr("Antenna %1 dBi, beam %2° by %3°, %4")
            .arg(r.gainDbi, 0, 'f', 1)
            .arg(r.hBeamDeg, 0, 'f', 0)
            .arg(r.vBeamDeg, 0, 'f', 0)
            .arg(q(r.antenna)),
        soft);
    return y - top;
}

// Height of the whole card, measured before it is drawn so that it is never torn; a little generous.
double cardHeight(const SiteSheet& s, std::size_t i, double width) {
    const RadioSheet& r = s.radios[i];
    const double settingsW = width - kAimMm - kTiltMm - 2 * kCardGapMm;
    const double line = Paper::textHeight(QStringLiteral("x"), 50, {8.5});
    double settings =
        line + Paper::textHeight(QStringLiteral("Antenna 00.0 dBi, beam 000° by 000°, ") + q(r.antenna),
                                 settingsW, {8});
    for (const CellSheet& c : r.cells)
        settings +=
            Paper::textHeight(q(c.name), settingsW, {8.5, true, {}, Qt::AlignLeft, 2}) + 2 * line + 0.8;
    double marks = Paper::textHeight(q(r.boresight), width, {8.5});
    for (const SightMark& m : r.marks) marks += Paper::textHeight(q(m.text), width - 6, {8.5}) + 0.5;
    if (r.marks.empty()) marks += line;
    return std::max(kTiltDrawMm + 6, settings) + 1.4 + marks + 3;
}

void printMarks(Flow& flow, const SiteSheet& s, std::size_t i) {
    const RadioSheet& r = s.radios[i];
    Paper& paper = flow.paper();
    const TextStyle plain{8.5, false, paper.colors().ink};
    if (r.marks.empty())
        flow.down(paper.text({flow.left(), flow.y()}, flow.width(),
                             Pack::tr("No distinct building edge lies near this bearing: aim by the map, and "
                                      "by compass well away from steel."),
                             plain, "marks"));
    for (const SightMark& m : r.marks) {
        drawBadge(paper, {flow.left() + 2, flow.y() + 1.9}, markText(s, i, m.number), 3.6, false);
        flow.down(paper.text({flow.left() + 6, flow.y()}, flow.width() - 6, q(m.text), plain, "sight mark") +
                  0.5);
    }
    flow.down(paper.text({flow.left(), flow.y()}, flow.width(), q(r.boresight), plain, "boresight"));
}

// "Radio A: R-1"; a radio without a name is called "radio 17" already.
QString titleOf(const SiteSheet& s, std::size_t i) {
    QString name = q(s.radios[i].name);
    if (s.radios.size() > 1) return Pack::tr("Radio %1: %2").arg(radioLetter(i), name);
    if (!name.startsWith(QLatin1String("radio"), Qt::CaseInsensitive)) return Pack::tr("Radio %1").arg(name);
    name[0] = name[0].toUpper();
    return name;
}

} // namespace

void printRadioCard(Flow& flow, const SiteSheet& s, std::size_t i) {
    const RadioSheet& r = s.radios[i];
    Paper& paper = flow.paper();
    const QString title = titleOf(s, i);
    const TextStyle head{10.5, true, paper.colors().ink, Qt::AlignLeft, 2};
    flow.need(Paper::textHeight(title, flow.width(), head) + cardHeight(s, i, flow.width()));
    paper.rule(flow.left(), flow.y(), flow.width(), paper.colors().ink, 0.3);
    flow.down(1.2);
    flow.down(paper.text({flow.left(), flow.y()}, flow.width(), title, head, "radio") + 1.2);
    const double top = flow.y(), x = flow.left();
    const double tiltX = x + kAimMm + kCardGapMm, settingsX = tiltX + kTiltMm + kCardGapMm;
    const double a = printAim(paper, r, x, top);
    const double b = printTilt(paper, s, r, tiltX, top);
    const double c = printSettings(paper, r, settingsX, top, x + flow.width() - settingsX);
    flow.moveTo(top + std::max({a, b, c}) + 1.4);
    printMarks(flow, s, i);
    flow.down(3);
}

} // namespace fw
