// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tile_cache.h"

#include <QDateTime>
#include <QDir>
#include <QDirIterator>

#include <algorithm>
#include <vector>

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

// The kernel notes a reading once a day at most (mount(8), relatime), and not at all where it is told so.
QIODevice* TileCache::data(const QUrl& url) {
    QIODevice* found = QNetworkDiskCache::data(url);
    if (!found) return nullptr;
    for (auto* file : found->findChildren<QFile*>())
        file->setFileTime(QDateTime::currentDateTime(), QFileDevice::FileAccessTime);
    return found;
}

qint64 TileCache::expire() {
    if (m_counted && cacheSize() < maximumCacheSize()) return cacheSize();
    struct Kept {
        QString path;
        QDateTime used;
        qint64 bytes;
    };
    std::vector<Kept> all;
    qint64 total = 0;
    QDirIterator at(cacheDirectory(), {QStringLiteral("*.d")}, QDir::Files, QDirIterator::Subdirectories);
    while (at.hasNext()) {
        const QFileInfo file(at.next());
        all.push_back({file.filePath(), std::max(file.lastRead(), file.lastModified()), file.size()});
        total += file.size();
    }
    std::sort(all.begin(), all.end(), [](const Kept& a, const Kept& b) { return a.used < b.used; });
    const qint64 goal = maximumCacheSize() / 10 * 9; // not for every tile again
    for (const Kept& each : all) {
        if (total <= goal) break;
        if (QFile::remove(each.path)) total -= each.bytes;
    }
    m_counted = true;
    return total;
}

} // namespace fw
