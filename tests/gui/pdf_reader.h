// SPDX-License-Identifier: GPL-3.0-or-later
// A finished PDF as poppler reads it.
#pragma once

#include "catch.h"
#include "gui_app.h"
#include "print/page_sink.h"

#include <QImage>
#include <QPainter>
#include <QProcess>
#include <QRegularExpression>

#include <algorithm>
#include <cstdlib>
#include <filesystem>

namespace fwtest {

inline QByteArray outputOf(const QString& program, const QStringList& arguments) {
    QProcess process;
    process.start(program, arguments);
    REQUIRE(process.waitForFinished(kPatienceMs));
    REQUIRE(process.exitCode() == 0);
    return process.readAllStandardOutput();
}

inline QString pathOf(const std::filesystem::path& p) { return QString::fromStdString(p.string()); }

inline int pagesIn(const std::filesystem::path& pdf) {
    return QRegularExpression("Pages: +([0-9]+)")
        .match(QString::fromUtf8(outputOf("pdfinfo", {pathOf(pdf)})))
        .captured(1)
        .toInt();
}

inline QString textIn(const std::filesystem::path& pdf) {
    return QString::fromUtf8(outputOf("pdftotext", {"-raw", pathOf(pdf), "-"}));
}

constexpr int kPageDpi = 150;

/// A page in colour, at kPageDpi. @param besides  where the picture may lie, without its ending
inline QImage pageOf(const std::filesystem::path& pdf, int page, const std::filesystem::path& besides) {
    const QString n = QString::number(page);
    outputOf("pdftoppm", {"-f", n, "-l", n, "-r", QString::number(kPageDpi), "-png", "-singlefile",
                          pathOf(pdf), pathOf(besides)});
    return QImage(pathOf(besides) + ".png").convertToFormat(QImage::Format_RGB32);
}

/// The page as the window draws it.
inline QImage shownPage(const fw::PackPage& page, QSize size) {
    QImage image(size, QImage::Format_RGB32);
    image.fill(Qt::black); // paint() brings its own paper
    QPainter painter(&image);
    page.paint(painter, QRectF(QPointF(0, 0), QSizeF(size)));
    return image;
}

/// Whether two pictures of a page, at kPageDpi, show the same: colours are compared as means over squares of
/// 12 dots (2 mm), since two rasterisers shade edges each by its own rule. Poppler draws a hairline one whole
/// dot wide where the screen shades it into two; in a square that is up to a twelfth of black on white, 21 of
/// 255, and half as much again where two cross: 34. Over the page such differences measure 0.3 to 1.6: 2.
/// Text a millimetre beside its place makes 37 and more, and over a page 3.
inline bool samePage(const QImage& a, const QImage& b) {
    constexpr int kSquare = 12;
    if (a.size() != b.size()) return false;
    double largest = 0, sum = 0;
    int squares = 0;
    for (int y = 0; y + kSquare <= a.height(); y += kSquare)
        for (int x = 0; x + kSquare <= a.width(); x += kSquare, ++squares) {
            int red = 0, green = 0, blue = 0;
            for (int v = y; v < y + kSquare; ++v)
                for (int u = x; u < x + kSquare; ++u) {
                    const QRgb p = a.pixel(u, v), q = b.pixel(u, v);
                    red += qRed(p) - qRed(q);
                    green += qGreen(p) - qGreen(q);
                    blue += qBlue(p) - qBlue(q);
                }
            const double worst = std::max({std::abs(red), std::abs(green), std::abs(blue)}) /
                                 static_cast<double>(kSquare * kSquare);
            largest = std::max(largest, worst);
            sum += worst;
        }
    UNSCOPED_INFO("largest " << largest << ", mean " << sum / squares);
    return largest < 34 && sum / squares < 2;
}

} // namespace fwtest
