// SPDX-License-Identifier: GPL-3.0-or-later
// A tile server on this machine that keeps what it was asked for.
#pragma once

#include "geo/web_grid.h"
#include "gui_app.h"

#include <QBuffer>
#include <QImage>
#include <QStringList>
#include <QTcpServer>
#include <QTcpSocket>

#include <functional>
#include <map>
#include <vector>

namespace fwtest {

class TileServer {
public:
    TileServer() {
        needGuiApp(); // sockets are heard of by an application alone
        m_server.listen(QHostAddress::LocalHost);
        QObject::connect(&m_server, &QTcpServer::newConnection, &m_server, [this] {
            while (QTcpSocket* s = m_server.nextPendingConnection()) {
                ++connections;
                open.push_back(s);
                QObject::connect(s, &QTcpSocket::readyRead, s, [this, s] { read(*s); });
                QObject::connect(s, &QTcpSocket::disconnected, s, &QTcpSocket::deleteLater);
            }
        });
    }
    [[nodiscard]] QString address() const {
        return QStringLiteral("http://127.0.0.1:%1/{z}/{x}/{y}.png").arg(m_server.serverPort());
    }
    /// Nobody answers any more.
    void stop() {
        m_server.close();
        for (QTcpSocket* s : m_server.findChildren<QTcpSocket*>()) s->abort();
    }

    /// One colour a tile, neighbours far apart.
    static QColor colorOf(const fw::WebTile& t) {
        return {30 + static_cast<int>(t.col * 53 % 200), 30 + static_cast<int>(t.row * 97 % 200),
                10 * t.zoom};
    }
    static QByteArray pngOf(const QColor& color, int side = fw::kWebTilePx) {
        QImage image(side, side, QImage::Format_RGB32);
        image.fill(color);
        QByteArray bytes;
        QBuffer out(&bytes);
        out.open(QIODevice::WriteOnly);
        image.save(&out, "PNG");
        return bytes;
    }

    struct Answer {
        int status = 200;
        QByteArray headers = "Cache-Control: max-age=86400\r\n";
        QByteArray body;
    };
    std::function<Answer(const fw::WebTile&)> answer = [](const fw::WebTile& t) {
        return Answer{200, "Cache-Control: max-age=86400\r\n", pngOf(colorOf(t))};
    };
    int connections = 0;
    std::vector<fw::WebTile> asked;
    QStringList heads; ///< of requests, as they came

private:
    void read(QTcpSocket& s) {
        QByteArray& in = m_in[&s];
        in += s.readAll();
        for (qsizetype end = in.indexOf("\r\n\r\n"); end >= 0; end = in.indexOf("\r\n\r\n")) {
            const QString head = QString::fromLatin1(in.left(end));
            in.remove(0, end + 4);
            heads << head;
            const QStringList path = head.section(QLatin1Char(' '), 1, 1).split(QLatin1Char('/'));
            if (path.size() < 4) continue;
            const fw::WebTile tile{path[1].toInt(), path[2].toLongLong(),
                                   path[3].section(QLatin1Char('.'), 0, 0).toLongLong()};
            asked.push_back(tile);
            const Answer a = answer(tile);
            s.write("HTTP/1.1 " + QByteArray::number(a.status) + " Said\r\nContent-Type: image/png\r\n" +
                    a.headers + "Content-Length: " + QByteArray::number(a.body.size()) + "\r\n\r\n" + a.body);
        }
    }

    QTcpServer m_server;
    std::map<QTcpSocket*, QByteArray> m_in;
    std::vector<QTcpSocket*> open;
};

} // namespace fwtest
