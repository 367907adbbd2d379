// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/web_tiles.h"

#include "canvas/tile_cache.h"

#include <QCoreApplication>
#include <QDir>
#include <QNetworkAccessManager>
#include <QNetworkReply>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fw {

namespace {

constexpr int kTransferMs = 15000, kMostRedirects = 3, kMostPauseS = 60, kMostAskedPauseS = 600;
constexpr std::size_t kMostTilesInView = 600;

constexpr const char* kTooLarge = "tooLarge"; ///< property of a reply that was cut off
constexpr double kNowhere = std::numeric_limits<double>::quiet_NaN();

std::optional<PlanePoint> webOf(const Frame& frame, PlanePoint p) {
    const auto geo = frame.toGeo(p);
    return geo ? toWeb(*geo) : std::nullopt;
}

} // namespace

bool WebSheet::draw(const Box& plane, Picture& out, const std::function<bool()>& goOn) {
    const Mesh mesh(plane, out.width, out.height, [this](std::vector<PlanePoint>& places) {
        for (PlanePoint& p : places) p = webOf(frame, p).value_or(PlanePoint{kNowhere, kNowhere});
    });
    return drawPyramid(
        mesh, levels, levelAt(plane.width() / out.width),
        [this](const TileLevel& l, std::int64_t col, std::int64_t row) {
            return shelf.find({l.zoom, col, row});
        },
        out, goOn);
}

WebTiles::WebTiles(TileAddress address, std::shared_ptr<WebSheet> sheet, std::function<bool()> resting,
                   QObject* parent)
    : QObject(parent), m_address(std::move(address)), m_sheet(std::move(sheet)),
      m_resting(std::move(resting)), m_net(new QNetworkAccessManager(this)) {
    m_net->setCache(new TileCache(cacheFolder(), kMostOnDisk, m_net));
    m_pool.setMaxThreadCount(1);
    for (QTimer* t : {&m_lookSoon, &m_again, &m_tell}) t->setSingleShot(true);
    m_lookSoon.setInterval(100); // panning goes on meanwhile
    m_tell.setInterval(60);      // what comes in together is drawn together
    connect(&m_lookSoon, &QTimer::timeout, this, &WebTiles::look);
    connect(&m_again, &QTimer::timeout, this, &WebTiles::look);
    connect(&m_tell, &QTimer::timeout, this, [this] {
        if (m_resting()) {
            m_tell.start();
            return;
        }
        const Box fresh = m_fresh;
        m_fresh = {};
        if (!fresh.empty()) emit arrived(fresh);
    });
}

WebTiles::~WebTiles() {
    for (QNetworkReply* reply : m_net->findChildren<QNetworkReply*>()) {
        reply->disconnect(this);
        reply->abort();
    }
    m_pool.clear();
    m_pool.waitForDone();
}

QString WebTiles::cacheFolder() {
    // XDG Base Directory Specification 0.8: relative paths are no paths.
    QString base = qEnvironmentVariable("XDG_CACHE_HOME");
    if (!QDir::isAbsolutePath(base)) base = QDir::homePath() + QStringLiteral("/.cache");
    return base + QStringLiteral("/fringewright/tiles");
}

void WebTiles::setView(const Box& plan, double metresPerPixel) {
    m_view = plan;
    m_metresPerPixel = metresPerPixel;
    if (m_sheet->stretch == 0) {
        const PlanePoint at = plan.centre();
        const auto a = webOf(m_sheet->frame, at), b = webOf(m_sheet->frame, at + PlanePoint{100, 0});
        if (!a || !b) return; // nowhere on the web's plane
        m_sheet->stretch = planeDistance(*a, *b) / 100;
    }
    if (!m_lookSoon.isActive()) m_lookSoon.start();
}

Box WebTiles::planBoundsOf(const WebTile& tile) const {
    const Box web = boundsOf(tile);
    Box plan;
    constexpr int kSteps = 2;
    for (int i = 0; i <= kSteps; ++i)
        for (int k = 0; k <= kSteps; ++k)
            if (const auto p = m_sheet->frame.toPlane(
                    fromWeb({web.x0 + web.width() * i / kSteps, web.y0 + web.height() * k / kSteps})))
                plan.add(*p);
    return plan;
}

std::vector<WebTile> WebTiles::wanted() const {
    const Box web = webBoundsOf(m_view, m_sheet->frame);
    std::size_t level = m_sheet->levelAt(m_metresPerPixel);
    WebTileRange range = webTilesOver(web, m_sheet->levels[level].zoom);
    if (static_cast<std::size_t>(range.count()) > kMostTilesInView) return {}; // finer than the server goes
    std::vector<WebTile> tiles;
    for (std::int64_t row = range.firstRow; row <= range.lastRow; ++row)
        for (std::int64_t col = range.firstCol; col <= range.lastCol; ++col)
            if (const WebTile t{range.zoom, col, row}; planBoundsOf(t).meets(m_view)) tiles.push_back(t);
    const PlanePoint middle = web.centre();
    const auto away = [&](const WebTile& t) { return planeDistance(boundsOf(t).centre(), middle); };
    std::stable_sort(tiles.begin(), tiles.end(),
                     [&](const WebTile& a, const WebTile& b) { return away(a) < away(b); });
    return tiles;
}

void WebTiles::look() {
    m_queue.clear();
    if (m_sheet->stretch == 0 || m_view.empty()) return;
    for (const WebTile& t : wanted()) {
        if (m_flying.count(t) || m_absent.count(t)) continue;
        if (!m_sheet->shelf.has(t) || (m_old.count(t) && m_pause.hasExpired())) m_queue.push_back(t);
    }
    pump();
}

void WebTiles::pump() {
    if (m_resting()) {
        if (!m_lookSoon.isActive()) m_lookSoon.start();
        return;
    }
    while (!m_packed.empty()) {
        const auto [tile, bytes] = m_packed.front();
        m_packed.pop_front();
        unpack(tile, bytes);
    }
    const bool paused = !m_pause.hasExpired();
    while (!m_queue.empty() && m_flying.size() < kMostRequests) {
        const WebTile tile = m_queue.front();
        m_queue.pop_front();
        ask(tile, paused);
    }
    if (m_queue.empty() && m_flying.empty() && m_old.empty() && m_pause.hasExpired()) say({});
}

void WebTiles::ask(const WebTile& tile, bool diskOnly) {
    const QUrl url(QString::fromStdString(m_address.of(tile)), QUrl::StrictMode);
    if (!url.isValid() || (url.scheme() != QLatin1String("https") && url.scheme() != QLatin1String("http"))) {
        m_absent.insert(tile);
        say(tr("Background map: the address cannot be used."));
        return;
    }
    QNetworkRequest request(url);
    const QString version = QCoreApplication::applicationVersion();
    request.setHeader(QNetworkRequest::UserAgentHeader, version.isEmpty()
                                                            ? QStringLiteral("Fringewright")
                                                            : QStringLiteral("Fringewright/") + version);
    request.setAttribute(QNetworkRequest::RedirectPolicyAttribute, QNetworkRequest::NoLessSafeRedirectPolicy);
    request.setMaximumRedirectsAllowed(kMostRedirects);
    request.setTransferTimeout(kTransferMs);
    // Nobody is to be known again by what was asked before.
    for (const auto what :
         {QNetworkRequest::CookieLoadControlAttribute, QNetworkRequest::CookieSaveControlAttribute,
          QNetworkRequest::AuthenticationReuseAttribute})
        request.setAttribute(what, QNetworkRequest::Manual);
    request.setAttribute(QNetworkRequest::CacheLoadControlAttribute,
                         diskOnly ? QNetworkRequest::AlwaysCache : QNetworkRequest::PreferNetwork);
    QNetworkReply* reply = m_net->get(request);
    m_flying.insert(tile);
    connect(reply, &QNetworkReply::downloadProgress, reply, [reply](qint64 got, qint64 all) {
        constexpr auto kMost = static_cast<qint64>(kMostTileBytes);
        if (got <= kMost && all <= kMost) return;
        reply->setProperty(kTooLarge, true);
        reply->abort();
    });
    connect(reply, &QNetworkReply::finished, this, [this, reply, tile, diskOnly] {
        reply->deleteLater();
        m_flying.erase(tile);
        answered(reply, tile, diskOnly);
        pump();
    });
}

void WebTiles::answered(QNetworkReply* reply, const WebTile& tile, bool diskOnly) {
    const int status = reply->attribute(QNetworkRequest::HttpStatusCodeAttribute).toInt();
    if (reply->error() == QNetworkReply::NoError && status == 200) {
        if (diskOnly)
            m_old.insert(tile); // perhaps out of date: asked for once more when the server may be asked
        else
            m_old.erase(tile);
        if (!reply->attribute(QNetworkRequest::SourceIsFromCacheAttribute).toBool()) m_failures = 0;
        unpack(tile, reply->read(static_cast<qint64>(kMostTileBytes) + 1));
        return;
    }
    if (diskOnly) return; // asked once more when the server is
    // What a server does not have it need not be asked for again.
    const bool missing = status == 204 || status == 400 || status == 404 || status == 410 || status == 422;
    if (missing || reply->property(kTooLarge).toBool()) {
        m_absent.insert(tile);
        return;
    }
    failed(*reply, status);
    m_queue.push_front(tile); // now from the disk, if it is there
}

void WebTiles::failed(const QNetworkReply& reply, int status) {
    const bool wasPaused = !m_pause.hasExpired();
    if (!wasPaused) {
        m_failures = std::min(m_failures + 1, 6);
        int seconds = std::min(kMostPauseS, 1 << m_failures);
        bool told = false;
        const int asked = reply.rawHeader("Retry-After").toInt(&told);
        if (told) seconds = std::clamp(asked, seconds, kMostAskedPauseS);
        if (status == 401 || status == 403) seconds = kMostPauseS;
        m_pause.setRemainingTime(std::chrono::seconds(seconds));
        m_again.start(std::chrono::seconds(seconds) + std::chrono::milliseconds(50));
    }
    const QString host = QString::fromStdString(m_address.host());
    if (status == 0)
        //: %1 a host
        say(tr("Background map: %1 does not answer; what was fetched before is shown.").arg(host));
    else
        //: %1 a host, %2 a number
        say(tr("Background map: %1 refuses (%2); what was fetched before is shown.").arg(host).arg(status));
}

void WebTiles::unpack(const WebTile& tile, const QByteArray& bytes) {
    if (m_resting()) {
        m_packed.emplace_back(tile, bytes);
        if (!m_lookSoon.isActive()) m_lookSoon.start();
        return;
    }
    ++m_unpacking;
    m_pool.start([this, tile, bytes] { // the destructor waits for it
        auto picture = std::make_shared<Result<Picture>>(
            tileFrom({bytes.constData(), static_cast<std::size_t>(bytes.size())}));
        QMetaObject::invokeMethod(
            this,
            [this, tile, picture] {
                --m_unpacking;
                if (!*picture) {
                    m_absent.insert(tile);
                    return;
                }
                m_sheet->shelf.put(tile, std::move(**picture));
                m_fresh.add(planBoundsOf(tile));
                if (!m_tell.isActive()) m_tell.start();
            },
            Qt::QueuedConnection);
    });
}

void WebTiles::say(const QString& word) {
    if (word == m_word) return;
    m_word = word;
    emit wordChanged();
}

} // namespace fw
