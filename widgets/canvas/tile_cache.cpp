// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tile_cache.h"

#include <QDateTime>
#include <QDir>

namespace fw {

namespace {

QNetworkCacheMetaData dated(QNetworkCacheMetaData about) {
    if (about.expirationDate().isValid()) return about;
    for (const auto& [name, value] : about.rawHeaders()) {
        const QByteArray said = name.toLower();
        if (said == "expires" || (said == "cache-control" && value.toLower().contains("no-cache")))
            return about;
    }
    about.setExpirationDate(QDateTime::currentDateTimeUtc().addDays(1));
    return about;
}

} // namespace

TileCache::TileCache(const QString& folder, qint64 mostBytes, QObject* parent) : QNetworkDiskCache(parent) {
    QDir().mkpath(folder);
    // What somebody looked at is nobody else's business.
    QFile::setPermissions(folder, QFile::ReadOwner | QFile::WriteOwner | QFile::ExeOwner);
    setCacheDirectory(folder);
    setMaximumCacheSize(mostBytes);
}

QIODevice* TileCache::prepare(const QNetworkCacheMetaData& about) {
    return QNetworkDiskCache::prepare(dated(about));
}

void TileCache::updateMetaData(const QNetworkCacheMetaData& about) {
    QNetworkDiskCache::updateMetaData(dated(about));
}

} // namespace fw
