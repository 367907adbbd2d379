// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/hata.h"

#include "base/log_exp.h"

namespace fw {
namespace {

double smallCityDb(double lf, double hMsM) { return (1.1 * lf - 0.7) * hMsM - (1.56 * lf - 0.8); }

double largeCityDb(double mhz, double hMsM) {
    if (mhz >= 300.0) {
        const double l = log10Fixed(11.75 * hMsM);
        return 3.2 * l * l - 4.97;
    }
    const double l = log10Fixed(1.54 * hMsM);
    return 8.29 * l * l - 1.1;
}

double byDistance(double km, double lh) { return (44.9 - 6.55 * lh) * log10Fixed(km); }

} // namespace

Db hataTerminalGain(HataCity city, double hMsM, Hertz f) {
    const double mhz = inMegahertz(f);
    return {city == HataCity::large ? largeCityDb(mhz, hMsM) : smallCityDb(log10Fixed(mhz), hMsM)};
}

Db hataLoss(HataCity city, HataArea area, double km, double hBsM, double hMsM, Hertz f) {
    const double mhz = inMegahertz(f), lf = log10Fixed(mhz), lh = log10Fixed(hBsM);
    const double terminal = hataTerminalGain(city, hMsM, f).v;
    const double urban = 69.55 + 26.16 * lf - 13.82 * lh - terminal + byDistance(km, lh);
    if (area == HataArea::open) return {urban - 4.78 * lf * lf + 18.33 * lf - 40.94};
    if (area == HataArea::urban) return {urban};
    const double l = log10Fixed(mhz / 28.0);
    return {urban - 2.0 * l * l - 5.4};
}

Db costHataLoss(double metropolitanDb, double km, double hBsM, double hMsM, Hertz f) {
    const double lf = log10Fixed(inMegahertz(f)), lh = log10Fixed(hBsM);
    return {46.3 + 33.9 * lf - 13.82 * lh - smallCityDb(lf, hMsM) + byDistance(km, lh) + metropolitanDb};
}

HataRange hataRange(double km, double hBsM, double hMsM, Hertz f) {
    return {rangeOf(km, 1, 20), rangeOf(inMegahertz(f), 150, 1500), rangeOf(hBsM, 30, 200),
            rangeOf(hMsM, 1, 10)};
}

HataRange costHataRange(double km, double hBsM, double hMsM, Hertz f) {
    return {rangeOf(km, 1, 20), rangeOf(inMegahertz(f), 1500, 2000), rangeOf(hBsM, 30, 200),
            rangeOf(hMsM, 1, 10)};
}

Db macroLineLoss(double km) { return {128.1 + 37.6 * log10Fixed(km)}; }
Db picoLineLoss(double km) { return {140.7 + 36.7 * log10Fixed(km)}; }

} // namespace fw
