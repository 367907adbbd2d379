// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QDateTime>
#include <QHash>
#include <QNetworkDiskCache>
#include <QUrl>

namespace fw {

/// The library's cache on disk, bounded; what was asked for longest ago goes first. What a server says
/// nothing of is fresh for a day (a guess as RFC 9111, 4.2.2, allows).
class TileCache : public QNetworkDiskCache {
public:
    TileCache(const QString& folder, qint64 mostBytes, QObject* parent);
    QIODevice* prepare(const QNetworkCacheMetaData& about) override;
    void updateMetaData(const QNetworkCacheMetaData& about) override;
    QIODevice* data(const QUrl& url) override;

protected:
    qint64 expire() override;

private:
    bool m_counted = false;        ///< the library knows its size
    QHash<QUrl, QDateTime> m_used; ///< in this run
};

} // namespace fw
