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

QIODevice* TileCache::data(const QUrl& url) {
    QIODevice* found = QNetworkDiskCache::data(url);
    if (found) m_used[url] = QDateTime::currentDateTime();
    return found;
}

// Of earlier runs the time of the file tells, which the kernel mostly brings up to the day (mount(8),
// relatime).
qint64 TileCache::expire() {
    if (m_counted && cacheSize() < maximumCacheSize()) return cacheSize();
    struct Kept {
        QString path;
        QDateTime used;
        qint64 bytes;
    };
    std::vector<Kept> all, later;
    qint64 total = 0;
    QDirIterator at(cacheDirectory(), {QStringLiteral("*.d")}, QDir::Files, QDirIterator::Subdirectories);
    while (at.hasNext()) {
        const QFileInfo file(at.next());
        all.push_back({file.filePath(), std::max(file.lastRead(), file.lastModified()), file.size()});
        total += file.size();
    }
    const auto earlier = [](const Kept& a, const Kept& b) { return a.used < b.used; };
    const qint64 goal = maximumCacheSize() / 10 * 9; // not for every tile again
    const auto drop = [&](const Kept& each) {
        if (total > goal && QFile::remove(each.path)) total -= each.bytes;
    };
    std::sort(all.begin(), all.end(), earlier);
    for (Kept& each : all) {
        if (total <= goal) break;
        const auto used =
            m_used.constFind(fileMetaData(each.path).url()); // only what may go is opened for it
        if (used == m_used.constEnd() || *used <= each.used) {
            drop(each);
            continue;
        }
        each.used = *used;
        QFile file(each.path);
        if (file.open(QIODevice::ReadOnly)) file.setFileTime(each.used, QFileDevice::FileAccessTime);
        later.push_back(each);
    }
    std::sort(later.begin(), later.end(), earlier);
    std::for_each(later.begin(), later.end(), drop);
    m_counted = true;
    return total;
}

} // namespace fw
