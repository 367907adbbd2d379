// SPDX-License-Identifier: GPL-3.0-or-later
// Lines of words that are shaped once: they look as Qt's own drawing of the same words looks.
#include "gui_app.h"
#include "text/line_of_words.h"

#include "catch.h"

#include <QFontMetricsF>
#include <QImage>

#include <cstdlib>

using namespace fw;
using namespace fwtest;

namespace {

const QRectF kRoom(10, 6, 150, 30);

template <class Draw>
QImage drawnWords(double ratio, Qt::LayoutDirection direction, const Draw& draw) {
    QImage image((QSizeF(170, 42) * ratio).toSize(), QImage::Format_RGB32);
    image.setDevicePixelRatio(ratio);
    image.fill(Qt::white);
    QPainter p(&image);
    p.setLayoutDirection(direction);
    p.setPen(Qt::black);
    draw(p);
    return image;
}

double ink(const QImage& image) {
    double sum = 0;
    for (int y = 0; y < image.height(); ++y)
        for (int x = 0; x < image.width(); ++x) sum += 255 - qGray(image.pixel(x, y));
    return sum;
}

// Of the darkness of both, the share that does not lie at the same pixel.
double apart(const QImage& a, const QImage& b) {
    double sum = 0;
    for (int y = 0; y < a.height(); ++y)
        for (int x = 0; x < a.width(); ++x) sum += std::abs(qGray(a.pixel(x, y)) - qGray(b.pixel(x, y)));
    return sum / (ink(a) + ink(b));
}

} // namespace

TEST_CASE("a line of words stands where the painter puts the same words", "[words]") {
    needGuiApp();
    const QString words = QStringLiteral("Ropers Loft 1-L18: 82 %");
    for (const double ratio : {1.0, 2.0})
        for (const Qt::LayoutDirection direction : {Qt::LeftToRight, Qt::RightToLeft})
            for (const Qt::Alignment where :
                 {Qt::AlignLeft | Qt::AlignVCenter, Qt::AlignRight | Qt::AlignVCenter,
                  Qt::AlignAbsolute | Qt::AlignLeft | Qt::AlignTop,
                  Qt::AlignAbsolute | Qt::AlignRight | Qt::AlignBottom, Qt::AlignHCenter | Qt::AlignTop,
                  Qt::Alignment(Qt::AlignCenter)}) {
                CAPTURE(ratio, int(direction), int(where));
                const auto paint = [&](auto body) {
                    return drawnWords(ratio, direction, [&](QPainter& p) {
                        QFont font = p.font();
                        font.setPixelSize(11);
                        p.setFont(font);
                        body(p);
                    });
                };
                const auto draw = [&](QPainter& p) { drawWords(p, kRoom, where, words); };
                const QImage ours = paint(draw);
                const QImage plain = paint([&](QPainter& p) {
                    p.drawText(kRoom, static_cast<int>(where) | Qt::TextSingleLine, words);
                });
                CHECK(ink(plain) > 1000);
                CHECK(apart(ours, plain) < 0.2); // letters may stand between other pixels, not beside theirs
                CHECK(ink(ours) == Approx(ink(plain)).epsilon(0.1));
                CHECK(paint(draw) == ours); // kept, it is the same
            }
}

TEST_CASE("a line that does not fit ends in an ellipsis inside its room", "[words]") {
    needGuiApp();
    const QString words = QStringLiteral("Corner of Great Rope Walk and the Old Custom House Quay");
    const QFont font = QApplication::font();
    CHECK(widthOfWords(font, words) == Approx(QFontMetricsF(font).horizontalAdvance(words)));
    REQUIRE(widthOfWords(font, words) > kRoom.width());
    for (const Qt::LayoutDirection direction : {Qt::LeftToRight, Qt::RightToLeft}) {
        const QImage ours = drawnWords(1, direction, [&](QPainter& p) {
            p.setFont(font);
            drawWords(p, kRoom, Qt::AlignLeft | Qt::AlignVCenter, words);
        });
        CHECK(ink(ours) > 1000);
        for (int y = 0; y < ours.height(); ++y)
            for (int x = 0; x < ours.width(); ++x)
                if (x < kRoom.left() - 1 || x > kRoom.right() + 1) CHECK(qGray(ours.pixel(x, y)) == 255);
    }
    const QImage none = drawnWords(1, Qt::LeftToRight, [&](QPainter& p) {
        drawWords(p, kRoom, Qt::AlignLeft, {});
        drawWords(p, {10, 10, 0, 20}, Qt::AlignLeft, words);
    });
    CHECK(ink(none) == 0);
}
