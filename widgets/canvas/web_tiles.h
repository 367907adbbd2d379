// SPDX-License-Identifier: GPL-3.0-or-later
// Tiles from an address that the user typed: asked for what is in view, kept on disk, never more.
#pragma once

#include "canvas/tile_shelf.h"
#include "geo/frame.h"
#include "intake/tile_address.h"
#include "intake/tile_pyramid.h"

#include <QByteArray>
#include <QDeadlineTimer>
#include <QObject>
#include <QString>
#include <QThreadPool>
#include <QTimer>

#include <atomic>
#include <deque>
#include <functional>
#include <set>

class QNetworkAccessManager;
class QNetworkReply;

namespace fw {

/// What drawing needs of them, on any thread.
struct WebSheet {
    WebSheet(std::vector<TileLevel> l, Frame f) : levels(std::move(l)), frame(std::move(f)) {}
    const std::vector<TileLevel> levels;
    const Frame frame;
    TileShelf shelf{std::size_t{192} << 20};
    /// Metres of the web's plane to one of the plan, where the map first looked: one number for the whole
    /// plan, so that the level that is drawn is the one that is asked for.
    std::atomic<double> stretch{0};

    [[nodiscard]] std::size_t levelAt(double metresPerPixel) const {
        return levelFor(levels, metresPerPixel * stretch);
    }
    /// False when `goOn` said no.
    bool draw(const Box& plane, Picture& out, const std::function<bool()>& goOn);
};

/// Lives on the window's thread. Asks the server only after setView(), for tiles in that view, by at most
/// kMostRequests requests at a time; less and less often while it does not answer, the disk's tiles standing
/// in. Redirects lead to http or https, and never from https to http.
class WebTiles : public QObject {
    Q_OBJECT
public:
    /// @param resting  asked before anything is done: true while a button is down.
    WebTiles(TileAddress address, std::shared_ptr<WebSheet> sheet, std::function<bool()> resting,
             QObject* parent = nullptr);
    ~WebTiles() override;

    /// What the map shows, in the plan, and metres to one of its device pixels.
    void setView(const Box& plan, double metresPerPixel);
    /// Why tiles are missing or old, in one short sentence; empty while all is well.
    [[nodiscard]] const QString& word() const { return m_word; }
    /// Tiles in view that are neither there nor known to be missing.
    [[nodiscard]] std::size_t waiting() const { return m_queue.size() + m_flying.size() + m_unpacking; }

    /// $XDG_CACHE_HOME/fringewright/tiles.
    static QString cacheFolder();
    static constexpr qint64 kMostOnDisk = qint64{256} << 20;
    static constexpr int kMostRequests = 3;

signals:
    void arrived(const fw::Box& plan); ///< ground of which there is more than before
    void wordChanged();

private:
    void look();
    [[nodiscard]] std::vector<WebTile> wanted() const;
    [[nodiscard]] Box planBoundsOf(const WebTile& tile) const;
    void pump();
    void ask(const WebTile& tile, bool diskOnly);
    void answered(QNetworkReply* reply, const WebTile& tile, bool diskOnly);
    void failed(const QNetworkReply& reply, int status);
    void unpack(const WebTile& tile, const QByteArray& bytes);
    void say(const QString& word);

    TileAddress m_address;
    std::shared_ptr<WebSheet> m_sheet;
    std::function<bool()> m_resting;
    QNetworkAccessManager* m_net;
    Box m_view;
    double m_metresPerPixel = 1;
    std::deque<WebTile> m_queue;
    std::set<WebTile> m_flying, m_absent, m_old; ///< old: from the disk while the server was not asked
    std::deque<std::pair<WebTile, QByteArray>> m_packed; ///< answered while a button was down
    std::size_t m_unpacking = 0;
    int m_failures = 0;
    QDeadlineTimer m_pause; ///< nothing is asked before
    QTimer m_lookSoon, m_again, m_tell;
    Box m_fresh;
    QString m_word;
    QThreadPool m_pool;
};

} // namespace fw
