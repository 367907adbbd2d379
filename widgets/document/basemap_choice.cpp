// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/basemap_choice.h"

#include "geo/web_grid.h"

#include <QCryptographicHash>
#include <QSettings>

#include <algorithm>

namespace fw {

namespace {

/// A uid comes with a file, and may be anything: as a key it is its digest.
QString groupOf(const std::string& uid) {
    const QByteArray digest =
        QCryptographicHash::hash(QByteArray::fromStdString(uid), QCryptographicHash::Sha256);
    return QStringLiteral("basemap/") + QString::fromLatin1(digest.toHex().left(32));
}

} // namespace

BasemapChoice keptBasemap(const std::string& uid) {
    BasemapChoice c;
    if (uid.empty()) return c;
    QSettings s;
    s.beginGroup(groupOf(uid));
    const int kind = s.value(QStringLiteral("kind"), 0).toInt();
    if (kind != static_cast<int>(BasemapChoice::Kind::file) &&
        kind != static_cast<int>(BasemapChoice::Kind::address))
        return c;
    c.kind = static_cast<BasemapChoice::Kind>(kind);
    c.file = s.value(QStringLiteral("file")).toString();
    c.layer = s.value(QStringLiteral("layer")).toString();
    c.epsg = s.value(QStringLiteral("epsg"), 0).toInt();
    c.address = s.value(QStringLiteral("address")).toString();
    c.fromZoom = std::clamp(s.value(QStringLiteral("fromZoom"), c.fromZoom).toInt(), 0, kMostWebZoom);
    c.toZoom = std::clamp(s.value(QStringLiteral("toZoom"), c.toZoom).toInt(), c.fromZoom, kMostWebZoom);
    c.attribution = s.value(QStringLiteral("attribution")).toString();
    c.on = s.value(QStringLiteral("on"), false).toBool();
    c.strength = std::clamp(s.value(QStringLiteral("strength"), c.strength).toInt(),
                            BasemapChoice::kLeastStrength, 100);
    return c;
}

void keepBasemap(const std::string& uid, const BasemapChoice& c) {
    if (uid.empty()) return;
    QSettings s;
    s.remove(groupOf(uid));
    if (c.kind == BasemapChoice::Kind::none) return;
    s.beginGroup(groupOf(uid));
    s.setValue(QStringLiteral("kind"), static_cast<int>(c.kind));
    s.setValue(QStringLiteral("file"), c.file);
    s.setValue(QStringLiteral("layer"), c.layer);
    s.setValue(QStringLiteral("epsg"), c.epsg);
    s.setValue(QStringLiteral("address"), c.address);
    s.setValue(QStringLiteral("fromZoom"), c.fromZoom);
    s.setValue(QStringLiteral("toZoom"), c.toZoom);
    s.setValue(QStringLiteral("attribution"), c.attribution);
    s.setValue(QStringLiteral("on"), c.on);
    s.setValue(QStringLiteral("strength"), c.strength);
}

} // namespace fw
