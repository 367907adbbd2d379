// SPDX-License-Identifier: GPL-3.0-or-later
// The pack on paper. What lies where is judged twice: by the drawing's own record, and by poppler's reading
// of the finished PDF.
#include "catch.h"
#include "delivery/place_text.h"
#include "gui/gui_app.h"
#include "gui/pack_demo.h"
#include "gui/pdf_reader.h"
#include "gui/qr_reader.h"
#include "print/pack.h"
#include "print/symbols.h"
#include "study/fit.h"
#include "study/settled.h"
#include "support/places.h"
#include "support/random_plan.h"
#include "theme/paper_fonts.h"

#include <QFile>
#include <QImage>
#include <QRegularExpression>

#include <cmath>
#include <filesystem>
#include <map>

using namespace fw;
using fwtest::DemoNames;
using fwtest::demoPack;
using fwtest::outputOf;

namespace {

namespace fs = std::filesystem;

fs::path folder() {
    const fs::path dir = fw::testing::builtFile("test_files/pack");
    fs::create_directories(dir);
    return dir;
}

struct Printed {
    fs::path file;
    PackRecord record;
};

const Printed& printed(DemoNames names, QPageSize::PageSizeId page = QPageSize::A4) {
    static std::map<std::pair<int, int>, Printed> made;
    const auto [it, fresh] = made.try_emplace({static_cast<int>(names), static_cast<int>(page)});
    if (!fresh) return it->second;
    fwtest::needGuiApp();
    PackOptions options;
    options.page = page;
    it->second.file = folder() / ("pack_" + std::to_string(it->first.first) + "_" +
                                  std::to_string(it->first.second) + ".pdf");
    REQUIRE(printPack(demoPack(names), options, it->second.file, &it->second.record).ok());
    return it->second;
}

QString path(const fs::path& p) { return QString::fromStdString(p.string()); }

QString pageText(const fs::path& pdf, int page) {
    const QString n = QString::number(page);
    return QString::fromUtf8(outputOf("pdftotext", {"-f", n, "-l", n, "-raw", path(pdf), "-"}));
}

// A page, or a part of it (mm), in grey; the part's upper left dot is the image's.
QImage pageImage(const fs::path& pdf, int page, int dpi, const QRectF& part = {}) {
    const QString n = QString::number(page), base = path(folder() / "page");
    QStringList arguments{"-f", n, "-l", n, "-r", QString::number(dpi), "-gray", "-png", "-singlefile"};
    if (!part.isNull()) {
        const auto dots = [&](double mm) {
            return QString::number(static_cast<int>(std::lround(mm * dpi / 25.4)));
        };
        arguments += {"-x", dots(part.left()),  "-y", dots(part.top()),
                      "-W", dots(part.width()), "-H", dots(part.height())};
    }
    outputOf("pdftoppm", arguments + QStringList{path(pdf), base});
    return QImage(base + ".png").convertToFormat(QImage::Format_Grayscale8);
}

// How far two rectangles lie over each other (mm), 0 when they do not.
double overlap(const QRectF& a, const QRectF& b) {
    const QRectF both = a.intersected(b);
    return both.isEmpty() ? 0 : std::min(both.width(), both.height());
}

// Hundredths of a millimetre are the unit of layout; two of them are rounding.
constexpr double kRoundingMm = 0.02;

void checkRecord(const PackRecord& record) {
    for (qsizetype n = 0; n < record.pages.size(); ++n) {
        const PageRecord& page = record.pages[n];
        const QRectF allowed = page.contentMm.adjusted(-kRoundingMm, -kRoundingMm, kRoundingMm, kRoundingMm);
        CHECK(page.blocks.size() > 3);
        for (qsizetype i = 0; i < page.blocks.size(); ++i) {
            const PlacedBlock& a = page.blocks[i];
            INFO("page " << n + 1 << ": " << a.what.toStdString() << " at " << a.rect.left() << ", "
                         << a.rect.top() << ", " << a.rect.width() << " x " << a.rect.height());
            CHECK(allowed.contains(a.rect));
            for (qsizetype k = i + 1; k < page.blocks.size(); ++k) {
                if (overlap(a.rect, page.blocks[k].rect) <= kRoundingMm) continue;
                FAIL_CHECK("lies over " << page.blocks[k].what.toStdString() << " at "
                                        << page.blocks[k].rect.left() << ", " << page.blocks[k].rect.top());
            }
        }
        for (const PlacedLabels& drawing : page.drawings)
            for (qsizetype i = 0; i < drawing.labels.size(); ++i) {
                CHECK(drawing.frame.contains(drawing.labels[i].rect));
                for (qsizetype k = i + 1; k < drawing.labels.size(); ++k)
                    CHECK(overlap(drawing.labels[i].rect, drawing.labels[k].rect) == 0);
            }
    }
}

} // namespace

// Not a test: test_gui "[.look]" leaves the made-up packs in the test folder, to be looked at.
TEST_CASE("print the made-up packs to look at", "[.look]") {
    fwtest::needGuiApp();
    PackOptions options;
    options.hillshade = true;
    CHECK(printPack(demoPack(), options, folder() / "look_plain.pdf").ok());
    CHECK(printPack(demoPack(DemoNames::nasty), {}, folder() / "look_nasty.pdf").ok());
}

TEST_CASE("nothing lies over another or outside the margins, whatever the names", "[pack][slow]") {
    for (const auto names : {DemoNames::plain, DemoNames::nasty})
        for (const auto page : {QPageSize::A4, QPageSize::Letter, QPageSize::A3})
            checkRecord(printed(names, page).record);
}

TEST_CASE("a pack of a computed town is written in one call and lies as cleanly", "[pack]") {
    fwtest::needGuiApp();
    Random random(77);
    const Plan plan = fw::testing::randomPlan(random);
    auto terrain = std::make_shared<Terrain>();
    terrain->flatM = plan.settings->terrain.flatM;
    const auto study = Study::advance(nullptr, plan, terrain);
    REQUIRE(study.ok());
    const Review review = reviewAll(**study);
    const auto ledger = settle(**study);
    REQUIRE(ledger.ok());
    const auto field = MagneticField::load(fw::testing::sourceFile("resources/magnetic"));
    REQUIRE(field.ok());
    const fs::path file = folder() / "town.pdf";
    REQUIRE(writePack(**study, review, *ledger, *field, {}, file).ok());
    const auto content = packContent(**study, review, *ledger, *field);
    REQUIRE(content.ok());
    PackRecord record;
    REQUIRE(printPack(*content, {}, folder() / "town_again.pdf", &record).ok());
    checkRecord(record);
    // Where the next meridian mark lies on the plane is where the arrow points: grid north is up.
    std::size_t sites = 0;
    for (const PageRecord& page : record.pages)
        for (const PlacedBlock& b : page.blocks) {
            if (b.what != "QR code") continue;
            const SiteSheet& s = content->sites.at(sites++).sheet;
            const auto north = (*study)->frame().toPlane({s.geo.latDeg + 0.001, s.geo.lonDeg});
            REQUIRE(north.ok());
            REQUIRE(page.northsDeg.size() == 1);
            CHECK(std::fabs(wrap180(page.northsDeg[0] - gridAzimuth(s.plane, *north).deg)) < 0.01);
            CHECK(std::fabs(page.northsDeg[0]) > 0.1); // else the sign would not show
        }
    CHECK(sites == content->sites.size());
    const auto pages =
        QRegularExpression("Pages: +([0-9]+)").match(QString::fromUtf8(outputOf("pdfinfo", {path(file)})));
    CHECK(pages.captured(1).toInt() == record.pages.size());
    CHECK(record.pages.size() >= static_cast<qsizetype>(2 + content->sites.size()));

    // After the sheets, if asked for, how their figures came about.
    PackOptions explained;
    explained.workings = true;
    PackRecord longer;
    const fs::path open = folder() / "town_workings.pdf";
    REQUIRE(printPack(*content, explained, open, &longer).ok());
    checkRecord(longer);
    CHECK(longer.pages.size() > record.pages.size());
    // Ligatures as letters again.
    const auto wordsIn = [](const fs::path& pdf) {
        return fwtest::textIn(pdf).normalized(QString::NormalizationForm_KC).simplified();
    };
    const QString words = wordsIn(open);
    CHECK(words.contains("How the figures came about"));
    for (const PackContent::Site& site : content->sites) {
        REQUIRE_FALSE(site.workings.empty());
        for (const Working& w : site.workings)
            CHECK(words.contains(QString::fromStdString(w.title).simplified()));
    }
    const SmallCellPart& small = (*study)->smallCells().front();
    const double fit = fitOf(**study, small.id).value;
    CHECK(words.contains(QString::number(fit, 'f', fit >= 10 ? 1 : 2)));
    CHECK_FALSE(wordsIn(file).contains("How the figures came about"));
}

TEST_CASE("a page is as large as asked for", "[pack][slow]") {
    // ISO 216: A4 210 x 297, A3 297 x 420 mm; Letter 215.9 x 279.4 mm. QPageSize rounds to whole points.
    const std::map<QPageSize::PageSizeId, QSizeF> sizes = {
        {QPageSize::A4, {210, 297}}, {QPageSize::A3, {297, 420}}, {QPageSize::Letter, {215.9, 279.4}}};
    for (const auto& [id, mm] : sizes) {
        const QByteArray info = outputOf("pdfinfo", {path(printed(DemoNames::plain, id).file)});
        const auto found =
            QRegularExpression("Page size: +([0-9.]+) x ([0-9.]+) pts").match(QString::fromUtf8(info));
        REQUIRE(found.hasMatch());
        CHECK(found.captured(1).toDouble() * 25.4 / 72 == Approx(mm.width()).margin(0.2));
        CHECK(found.captured(2).toDouble() * 25.4 / 72 == Approx(mm.height()).margin(0.2));
    }
    fwtest::needGuiApp();
    PackOptions options;
    options.page = QPageSize::A5;
    CHECK_FALSE(printPack(demoPack(), options, folder() / "a5.pdf").ok());
    CHECK_FALSE(fs::exists(folder() / "a5.pdf"));
    CHECK_FALSE(printPack(demoPack(), {}, folder() / "no such folder" / "x.pdf").ok());
}

TEST_CASE("poppler finds ink only inside the margins", "[pack]") {
    for (const auto names : {DemoNames::plain, DemoNames::nasty}) {
        const Printed& p = printed(names);
        const qsizetype pages = std::min<qsizetype>(p.record.pages.size(), 6);
        for (qsizetype n = 1; n <= pages; ++n) {
            INFO("page " << n);
            const QImage image = pageImage(p.file, static_cast<int>(n), 127); // 5 dots a millimetre
            int outside = 0;
            for (int y = 0; y < image.height(); ++y)
                for (int x = 0; x < image.width(); ++x) {
                    const double mmX = x / 5.0, mmY = y / 5.0;
                    // Half a millimetre for italics and marks that overhang their advance.
                    const bool margin = mmX < 14.5 || mmX > 195.5 || mmY < 14.5 || mmY > 287.5;
                    if (margin && qGray(image.pixel(x, y)) < 200) ++outside;
                }
            CHECK(outside == 0);
        }
    }
}

TEST_CASE("poppler finds no word over another", "[pack]") {
    const Printed& p = printed(DemoNames::plain);
    const QString xml = QString::fromUtf8(outputOf("pdftotext", {"-bbox", path(p.file), "-"}));
    const QRegularExpression word(
        "<word xMin=\"([0-9.]+)\" yMin=\"([0-9.]+)\" xMax=\"([0-9.]+)\" yMax=\"([0-9.]+)\">([^<]*)</word>");
    int words = 0;
    for (const QString& page : xml.split("<page ").mid(1)) {
        std::vector<std::pair<QRectF, QString>> boxes;
        for (auto it = word.globalMatch(page); it.hasNext();) {
            const auto m = it.next();
            const double x0 = m.captured(1).toDouble(), y0 = m.captured(2).toDouble(),
                         x1 = m.captured(3).toDouble(), y1 = m.captured(4).toDouble();
            // A word's box reaches from the face's highest to its lowest stroke; letters fill the middle
            // half.
            const double h = y1 - y0;
            if (h > 3 * (x1 - x0) && m.captured(5).size() > 2)
                continue; // a street name that runs up the page
            boxes.emplace_back(QRectF(x0, y0 + h * 0.28, x1 - x0, h * 0.47), m.captured(5));
        }
        words += static_cast<int>(boxes.size());
        for (std::size_t i = 0; i < boxes.size(); ++i)
            for (std::size_t k = i + 1; k < boxes.size(); ++k)
                if (overlap(boxes[i].first, boxes[k].first) > 0.3) // points
                    FAIL_CHECK(boxes[i].second.toStdString()
                               << " lies over " << boxes[k].second.toStdString());
    }
    CHECK(words > 800);
}

TEST_CASE("the sheet says what the content says", "[pack]") {
    const PackContent content = demoPack();
    const Printed& p = printed(DemoNames::plain);
    QString all;
    std::map<std::string, QString> bySite;
    std::string site;
    for (int n = 1; n <= p.record.pages.size(); ++n) {
        const QString text = pageText(p.file, n);
        CHECK(text.contains(QStringLiteral("page %1 of %2").arg(n).arg(p.record.pages.size())));
        for (const auto& s : content.sites)
            if (text.contains(QString::fromStdString(s.sheet.geoUri)) && n > 2) site = s.sheet.name;
        if (!site.empty()) bySite[site] += text;
        all += text;
    }
    CHECK(all.contains("true north"));
    CHECK(all.contains("EPSG:32627"));
    CHECK(all.contains(QString::fromStdString(deferPhrase()).left(40)));
    for (const auto& s : content.sites) {
        INFO(s.sheet.name);
        const QString text = bySite[s.sheet.name].simplified();
        const auto says = [&](const std::string& what) {
            INFO(what);
            CHECK(text.contains(QString::fromStdString(what)));
        };
        says(degreesText(s.sheet.geo.latDeg) + ", " + degreesText(s.sheet.geo.lonDeg));
        says("6.3 deg west, 2026-11-02, World Magnetic Model 2025");
        for (const RadioSheet& r : s.sheet.radios) {
            says(azimuthText(r.azimuthTrue) + "° true");
            says(azimuthText(*r.azimuthMagnetic) + "° magnetic");
            says(azimuthText(r.azimuthTrue) + " deg true / " + azimuthText(*r.azimuthMagnetic) +
                 " deg magnetic");
            says("Power 37.0 dBm = 5.0 W");
            for (const SightMark& m : r.marks) says(m.text);
            for (const CellSheet& c : r.cells) says("PCI " + std::to_string(c.pci));
        }
        for (const std::string& who : s.sheet.signOff) says(who.substr(0, who.find(' ')));
        for (const Check& c : s.sheet.checks) says(c.what);
    }
}

TEST_CASE("a site takes two pages, and what does not fit follows after the signatures", "[pack]") {
    // Cover, list and maps, findings; then two pages a site.
    CHECK(printed(DemoNames::plain).record.pages.size() == 3 + 3 * 2);
    QString text;
    for (int n = 1; n <= printed(DemoNames::nasty).record.pages.size(); ++n)
        text += pageText(printed(DemoNames::nasty).file, n);
    CHECK(text.contains("on the page after the signatures"));
    CHECK(text.contains("Findings, continued"));
}

TEST_CASE("all is vector but the maps of SINR and a hillshade", "[pack]") {
    // Dots an inch of every picture.
    const auto pictures = [](const fs::path& file) {
        std::vector<int> out;
        const QString list = QString::fromUtf8(outputOf("pdfimages", {"-list", path(file)}));
        for (const QString& row : list.split(QLatin1Char('\n')).mid(2)) {
            const QStringList cells = row.simplified().split(QLatin1Char(' '));
            if (cells.size() > 13 && cells[2] == QLatin1String("image")) out.push_back(cells[12].toInt());
        }
        return out;
    };
    const auto plain = pictures(printed(DemoNames::plain).file);
    CHECK(plain.size() == 3); // before, after, change
    for (const int dpi : plain) CHECK(dpi >= 150);
    PackOptions options;
    options.hillshade = true;
    REQUIRE(printPack(demoPack(), options, folder() / "hillshade.pdf").ok());
    CHECK(pictures(folder() / "hillshade.pdf").size() == 4);
    PackContent none = demoPack();
    none.change = {};
    REQUIRE(printPack(none, {}, folder() / "hillshade.pdf").ok());
    CHECK(pictures(folder() / "hillshade.pdf").empty());
}

TEST_CASE("the QR code on the page reads as the geo address", "[pack]") {
    const PackContent content = demoPack();
    const Printed& p = printed(DemoNames::plain);
    std::size_t site = 0;
    for (int n = 1; n <= p.record.pages.size(); ++n)
        for (const PlacedBlock& b : p.record.pages[n - 1].blocks) {
            if (b.what != "QR code") continue;
            const std::string& uri = content.sites.at(site++).sheet.geoUri;
            const int side = qrModules(uri).side;
            const QImage image = pageImage(p.file, n, 508, b.rect); // 20 dots a millimetre
            const double module = b.rect.width() / (side + 8);
            std::vector<bool> dark;
            for (int r = 0; r < side; ++r)
                for (int c = 0; c < side; ++c) {
                    const QPointF mm((c + 4.5) * module, (r + 4.5) * module);
                    dark.push_back(qGray(image.pixel(static_cast<int>(mm.x() * 20),
                                                     static_cast<int>(mm.y() * 20))) < 128);
                }
            CHECK(fwtest::QrReader(side, dark).text() == uri);
        }
    CHECK(site == content.sites.size());
}

TEST_CASE("the scale bar on the page is as long as it says", "[pack]") {
    const PackContent content = demoPack();
    const Printed& p = printed(DemoNames::plain);
    int bars = 0;
    for (int n = 1; n <= p.record.pages.size(); ++n)
        for (const PlacedScaleBar& bar : p.record.pages[n - 1].scaleBars) {
            ++bars;
            const MapContent& map = n == 1 ? content.map : content.sites.front().map;
            // Paper over ground = paper over plane times the point scale.
            const double expectedMm = bar.groundM * map.scale * bar.mapPaperMm / bar.mapPlaneM;
            CHECK(bar.mapPlaneM == Approx(map.bounds.width()));
            // A strip half way down the bar, from half a millimetre inside its left end.
            const QRectF strip(bar.at + QPointF(0.5, 0.55), QSizeF(expectedMm, 0.1));
            const QImage image = pageImage(p.file, n, 508, strip);
            int x = 0;
            while (x < image.width() && qGray(image.pixel(x, 0)) < 128)
                ++x; // the dark half ends in the middle
            // Half the outline of 0.15 mm, and a dot of 0.05 mm.
            CHECK(0.5 + x / 20.0 == Approx(expectedMm / 2).margin(0.13));
        }
    CHECK(bars == 4);
}

TEST_CASE("the arrow is turned clockwise, and a plate looks where its beam goes", "[pack]") {
    fwtest::needGuiApp();
    const fs::path file = folder() / "signs.pdf";
    {
        QPdfWriter device(path(file));
        device.setPageSize(QPageSize(QPageSize::A4));
        PackRecord record;
        PdfPages pages(device);
        Paper paper(pages, record);
        paper.newPage();
        drawNorth(paper, {50, 50}, 20, 90);
        drawPlate(paper, {120, 50}, 10, 90, MountKind::wall);
        paper.painter().end();
    }
    const QImage image = pageImage(file, 1, 254); // 10 dots a millimetre
    const auto ink = [&](double x0, double y0, double w, double h) {
        int n = 0;
        for (int y = static_cast<int>(y0 * 10); y < static_cast<int>((y0 + h) * 10); ++y)
            for (int x = static_cast<int>(x0 * 10); x < static_cast<int>((x0 + w) * 10); ++x)
                n += qGray(image.pixel(x, y)) < 200;
        return n;
    };
    // Turned to the east: the head is right of the middle, the thin tail left of it, nothing above or below.
    CHECK(ink(50, 45, 10, 10) > 2 * ink(40, 45, 10, 10));
    CHECK(ink(40, 45, 10, 10) > 0);
    CHECK(ink(45, 39, 10, 5) == 0);
    // The plate's point is on the right, its wall on the left.
    CHECK(ink(124, 45, 6, 10) > 0);
    CHECK(ink(112, 45, 5, 10) == 0);
}

TEST_CASE("two printings look the same", "[pack]") {
    const Printed& first = printed(DemoNames::plain);
    REQUIRE(printPack(demoPack(), {}, folder() / "again.pdf").ok());
    for (const int page : {1, 3, 4})
        CHECK(pageImage(first.file, page, 60) == pageImage(folder() / "again.pdf", page, 60));
}

TEST_CASE("paper colours can be read", "[pack]") {
    // WCAG 2.2: text 4.5:1 (1.4.3), symbols and lines that carry meaning 3:1 (1.4.11).
    const PaperPalette c;
    for (const QColor& ground : {c.paper, c.wash}) {
        for (const QColor& text : {c.ink, c.inkSoft, c.accentText}) CHECK(contrastRatio(text, ground) >= 4.5);
        CHECK(contrastRatio(c.accent, ground) >= 3.0);
    }
    // The definition's own ends: 21 for black on white, 1 for like on like.
    CHECK(contrastRatio(Qt::black, Qt::white) == Approx(21));
    CHECK(contrastRatio(c.ink, c.ink) == Approx(1));
}

TEST_CASE("the faces of the pack travel with the program", "[pack]") {
    fwtest::needGuiApp();
    REQUIRE(loadPaperFonts());
    CHECK(QFontInfo(paperFont(20)).family() == "Noto Sans");
    CHECK(QFontInfo(paperFont(20, true)).bold());
    const QByteArray fonts = outputOf("pdffonts", {path(printed(DemoNames::plain).file)});
    CHECK(fonts.contains("NotoSans"));
    for (const QByteArray& line : fonts.split('\n').mid(2)) // every face is embedded, with a way back to text
        if (!line.isEmpty())
            CHECK(QRegularExpression("yes (yes|no ) yes").match(QString::fromLatin1(line)).hasMatch());
}
