// SPDX-License-Identifier: GPL-3.0-or-later
// A map beneath the plan out of an address: off until it is asked for, where it has to lie, and asking nobody
// for more than is seen.
#include "basemap_stand.h"

#include "canvas/tile_cache.h"
#include "canvas/web_tiles.h"

#include <set>

using namespace fw;
using namespace fwtest;
using fw::testing::kMiddle;
using fw::testing::place;

TEST_CASE("a plan opened asks nobody, whatever another plan was given", "[basemap]") {
    Ground ground("plan-of-somebody-else");
    TileServer server;
    keepBasemap("plan-one", choiceOf(server));
    BasemapStand s(ground.plan.loaded);
    s.settle();
    CHECK(s.space.basemap.choice() == BasemapChoice{});
    CHECK_FALSE(s.space.basemap.painter());
    CHECK(s.map->attributionPlace().isEmpty());
    // Chosen and switched off, with the address at hand: nobody either.
    BasemapChoice off = choiceOf(server);
    off.on = false;
    s.space.basemap.choose(off);
    s.settle();
    CHECK(server.connections == 0);
    // A plan without a uid keeps nothing.
    keepBasemap("", choiceOf(server));
    CHECK(keptBasemap("") == BasemapChoice{});
}

TEST_CASE("tiles of an address: those in view, where they have to lie, whose they are", "[basemap]") {
    Ground ground;
    TileServer server;
    QCoreApplication::setApplicationVersion(QStringLiteral("9.9"));
    BasemapStand s(ground.plan.loaded);
    s.compute();
    s.settle();
    const QImage before = s.picture();
    s.space.basemap.choose(choiceOf(server));
    s.settle();
    REQUIRE_FALSE(server.asked.empty());
    CHECK(server.connections <= WebTiles::kMostRequests);
    CHECK(server.heads[0].contains(QStringLiteral("User-Agent: Fringewright/9.9")));
    CHECK_FALSE(server.heads[0].contains(QStringLiteral("Cookie"), Qt::CaseInsensitive));

    // Each once, all of one zoom, each sharing ground with what is seen; none of those is left out.
    const std::set<WebTile> asked(server.asked.begin(), server.asked.end());
    CHECK(asked.size() == server.asked.size());
    const Box seen = s.map->camera().visible();
    const int zoom = server.asked[0].zoom;
    for (const WebTile& t : asked) {
        CHECK(t.zoom == zoom);
        const Box web = boundsOf(t);
        Box box;
        for (const PlanePoint c :
             {PlanePoint{web.x0, web.y0}, {web.x1, web.y0}, {web.x0, web.y1}, {web.x1, web.y1}})
            box.add(s.inPlan(c));
        CHECK(box.meets(seen.grown(1))); // an edge bends by less than a metre
    }
    for (double x = 0.05; x < 1; x += 0.1)
        for (double y = 0.05; y < 1; y += 0.1) {
            const auto web =
                toWeb(*s.frame().toGeo({seen.x0 + x * seen.width(), seen.y0 + y * seen.height()}));
            const WebTileRange r = webTilesOver({web->x, web->y, web->x, web->y}, zoom);
            CHECK(asked.count({zoom, r.firstCol, r.firstRow}) == 1);
        }

    // Where tiles meet the colours change, to a pixel and a half: one between two pictures, half of the
    // screen's.
    const QImage now = s.picture();
    int edges = 0;
    for (const WebTile& t : asked) {
        const Box web = boundsOf(t);
        const PlanePoint left = s.inPlan({web.x0, web.centre().y});
        const double px = s.map->camera().metresPerPixel / now.devicePixelRatio();
        if (!seen.grown(-20).contains(left) || !asked.count({zoom, t.col - 1, t.row})) continue;
        const QRectF mark = s.map->attributionPlace();
        if (mark.contains(s.map->camera().toScreen(left))) continue;
        const QColor west = s.at(now, left - PlanePoint{1.5 * px, 0}),
                     east = s.at(now, left + PlanePoint{1.5 * px, 0});
        if (distance(west, TileServer::colorOf({zoom, t.col - 1, t.row})) > 6)
            continue; // a building stands there
        ++edges;
        CHECK(distance(east, TileServer::colorOf(t)) <= 6);
    }
    CHECK(edges >= 2);

    // Buildings stay above it.
    const PlanePoint house = place(60, 46);
    CHECK(distance(s.at(now, house), s.at(before, house)) <= 3);

    // Whose it is stands in the corner; switched off, the map is as if nothing had been.
    const QRect mark = s.map->attributionPlace();
    CHECK(mark.right() < s.map->width());
    CHECK(mark.left() > s.map->width() / 2);
    CHECK(mark.bottom() < s.map->height());
    const QColor ink = windowPalette(s.map->palette()).ink;
    int dark = 0;
    for (int y = mark.top(); y <= mark.bottom(); ++y)
        for (int x = mark.left(); x <= mark.right(); ++x)
            dark += distance(now.pixelColor((QPointF(x, y) * now.devicePixelRatio()).toPoint()), ink) < 90;
    CHECK(dark > 60); // twenty letters
    s.space.basemap.setOn(false);
    s.settle();
    CHECK(s.picture() == before);
    QCoreApplication::setApplicationVersion({});
}

TEST_CASE("panning asks for what comes into view and for nothing twice", "[basemap]") {
    Ground ground;
    TileServer server;
    BasemapStand s(ground.plan.loaded);
    s.space.basemap.choose(choiceOf(server));
    s.settle();
    const std::size_t first = server.asked.size();
    s.look(place(120, 0), 0.5);
    s.settle();
    CHECK(server.asked.size() > first);
    CHECK(server.asked.size() < 2 * first);
    const std::set<WebTile> asked(server.asked.begin(), server.asked.end());
    CHECK(asked.size() == server.asked.size());
    const std::size_t then = server.asked.size();
    s.look(place(0, 0), 0.5);
    s.settle();
    CHECK(server.asked.size() == then);
    // Zoom limits: never beyond what the server has.
    BasemapChoice c = s.space.basemap.choice();
    c.toZoom = 15;
    server.asked.clear();
    s.space.basemap.choose(c);
    s.settle();
    for (const WebTile& t : server.asked) CHECK(t.zoom == 15);
    REQUIRE_FALSE(server.asked.empty());
    const WebTile t = server.asked[0];
    CHECK(distance(s.at(s.picture(), place(-40, 30)), TileServer::colorOf(t)) <=
          200); // some tile's colour, stretched
}

TEST_CASE("a second showing is served from the disk, and a server that is gone is said quietly",
          "[basemap]") {
    Ground ground;
    TileServer server;
    const bool fresh = GENERATE(true, false);
    INFO("tiles stay fresh: " << fresh);
    server.answer = [fresh](const WebTile& t) {
        return TileServer::Answer{
            200, fresh ? "Cache-Control: max-age=86400\r\n" : "Cache-Control: max-age=0\r\nETag: \"a\"\r\n",
            TileServer::pngOf(TileServer::colorOf(t))};
    };
    QImage first;
    {
        BasemapStand s(ground.plan.loaded);
        s.compute();
        s.space.basemap.choose(choiceOf(server));
        s.settle();
        first = s.picture();
    }
    const std::size_t asked = server.asked.size();
    REQUIRE(asked > 0);
    CHECK(QDir(WebTiles::cacheFolder()).exists());
    if (fresh) {
        BasemapStand s(ground.plan.loaded); // remembered for this plan
        CHECK(s.space.basemap.choice().kind == BasemapChoice::Kind::address);
        s.compute();
        s.settle();
        CHECK(server.asked.size() == asked);
        CHECK(s.picture() == first);
        CHECK(s.space.basemap.word().isEmpty());
        return;
    }
    server.stop();
    QTest::qWait(2100); // whole seconds decide whether a tile is out of date
    BasemapStand s(ground.plan.loaded);
    s.settle();
    REQUIRE(QTest::qWaitFor([&] { return !s.space.basemap.word().isEmpty() && s.space.basemap.settled(); },
                            kPatienceMs));
    s.settle();
    CHECK(s.space.basemap.word().contains(QStringLiteral("does not answer")));
    const PlanePoint free = place(-60, 30);
    CHECK(distance(s.at(s.picture(), free), s.at(first, free)) <= 6);
    CHECK(s.map->attributionPlace().height() > s.map->fontMetrics().height() * 3 / 2); // two lines
}

TEST_CASE("nothing is asked and nothing drawn while a button is down", "[basemap]") {
    Ground ground;
    TileServer server;
    BasemapStand s(ground.plan.loaded);
    s.settle();
    s.space.jobs.setResting(true);
    s.space.basemap.choose(choiceOf(server));
    s.map->update();
    QTest::qWait(500);
    CHECK(server.connections == 0);
    s.space.jobs.setResting(false);
    s.map->update();
    s.settle();
    CHECK(server.connections > 0);
}

TEST_CASE("answers that are no tiles harm nothing and are not asked for again", "[basemap]") {
    Ground ground;
    TileServer server;
    struct Case {
        const char* what;
        TileServer::Answer answer;
    };
    const Case c = GENERATE_REF(
        Case{"not there", {404, "", "no"}}, Case{"a page of words", {200, "", "<html>Log in</html>"}},
        Case{"too many bytes", {200, "", QByteArray(5 << 20, 'x')}},
        Case{"too many pixels", {200, "", TileServer::pngOf(Qt::red, 1500)}}, Case{"nothing", {204, "", ""}});
    INFO(c.what);
    server.answer = [&](const WebTile&) { return c.answer; };
    BasemapStand s(ground.plan.loaded);
    s.settle();
    const QImage before = s.picture();
    BasemapChoice choice = choiceOf(server);
    s.space.basemap.choose(choice);
    s.settle();
    const std::size_t asked = server.asked.size();
    CHECK(asked > 0);
    s.look(place(1, 0), 0.5);
    s.look(place(0, 0), 0.5);
    s.settle();
    CHECK(std::set<WebTile>(server.asked.begin(), server.asked.end()).size() == server.asked.size());
    CHECK(s.at(s.picture(), place(-60, 30)) == s.at(before, place(-60, 30)));
}

TEST_CASE("a server that is overloaded is left alone, and redirects lead to no file", "[basemap]") {
    Ground ground;
    TileServer server;
    SECTION("overloaded") {
        server.answer = [](const WebTile&) { return TileServer::Answer{503, "Retry-After: 120\r\n", ""}; };
        BasemapStand s(ground.plan.loaded);
        s.space.basemap.choose(choiceOf(server));
        s.settle();
        CHECK(server.asked.size() <= WebTiles::kMostRequests); // those that were under way
        CHECK(s.space.basemap.word().contains(QStringLiteral("503")));
        s.look(place(200, 0), 0.5);
        s.settle();
        CHECK(server.asked.size() <= WebTiles::kMostRequests);
    }
    SECTION("redirected to a file") {
        testing::TestFolder folder;
        testing::writeBytes(folder / "secret.png", TileServer::pngOf(Qt::red).toStdString());
        const QByteArray to =
            "Location: file://" + QByteArray::fromStdString((folder / "secret.png").string()) + "\r\n";
        server.answer = [to](const WebTile&) { return TileServer::Answer{302, to, ""}; };
        BasemapStand s(ground.plan.loaded);
        s.space.basemap.choose(choiceOf(server));
        s.settle();
        CHECK(distance(s.at(s.picture(), place(-60, 30)), Qt::red) > 100);
    }
    SECTION("redirected to another server") {
        TileServer other;
        const QString base = other.address();
        server.answer = [base](const WebTile& t) {
            QString url = base;
            url.replace(QStringLiteral("{z}"), QString::number(t.zoom));
            url.replace(QStringLiteral("{x}"), QString::number(t.col));
            url.replace(QStringLiteral("{y}"), QString::number(t.row));
            return TileServer::Answer{302, "Location: " + url.toLatin1() + "\r\n", ""};
        };
        BasemapStand s(ground.plan.loaded);
        s.space.basemap.choose(choiceOf(server));
        s.settle();
        CHECK_FALSE(other.asked.empty());
        CHECK(std::set<WebTile>(other.asked.begin(), other.asked.end()) ==
              std::set<WebTile>(server.asked.begin(), server.asked.end()));
        CHECK(s.space.basemap.word().isEmpty());
    }
}

TEST_CASE("the cache on disk stays within its bound, keeps what is looked at, and what is fresh",
          "[basemap]") {
    needGuiApp();
    testing::TestFolder folder;
    TileCache cache(QString::fromStdString((folder / "tiles").string()), 200000, nullptr);
    const auto put = [&](int k, const char* control) {
        QNetworkCacheMetaData about;
        about.setUrl(QUrl(QStringLiteral("https://tiles.example.org/1/1/%1.png").arg(k)));
        about.setSaveToDisk(true);
        about.setAttributes({{QNetworkRequest::HttpStatusCodeAttribute, 200}});
        if (control) about.setRawHeaders({{"Cache-Control", control}});
        QIODevice* out = cache.prepare(about);
        REQUIRE(out);
        QByteArray noise(10000, '\0');
        for (int i = 0; i < noise.size(); ++i) noise[i] = static_cast<char>((i * 7919 + k * 104729) >> 3);
        out->write(noise);
        cache.insert(out);
        return about.url();
    };
    const QUrl looked = put(0, nullptr), left = put(1, nullptr);
    for (int k = 2; k < 100; ++k) {
        put(k, nullptr);
        // Looked at between all the others it stays, though only one is older.
        const std::unique_ptr<QIODevice> bytes(cache.data(looked));
        REQUIRE(bytes);
        CHECK(bytes->readAll().size() == 10000);
    }
    CHECK_FALSE(cache.metaData(left).isValid());
    CHECK(cache.cacheSize() <= 200000);
    CHECK(cache.cacheSize() > 50000);
    cache.clear();
    CHECK(cache.cacheSize() == 0);
    // Without a word from the server a tile is fresh for a day; where it says otherwise that holds.
    CHECK(cache.metaData(put(200, nullptr)).expirationDate() >
          QDateTime::currentDateTimeUtc().addSecs(80000));
    CHECK_FALSE(cache.metaData(put(201, "no-cache")).expirationDate().isValid());
}
