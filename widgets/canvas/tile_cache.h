// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QNetworkDiskCache>

namespace fw {

/// The library's cache on disk, bounded, the oldest going first. What a server says nothing of is fresh for a
/// day (a guess as RFC 9111, 4.2.2, allows).
class TileCache : public QNetworkDiskCache {
public:
    TileCache(const QString& folder, qint64 mostBytes, QObject* parent);
    QIODevice* prepare(const QNetworkCacheMetaData& about) override;
    void updateMetaData(const QNetworkCacheMetaData& about) override;
};

} // namespace fw
