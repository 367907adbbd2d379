// SPDX-License-Identifier: GPL-3.0-or-later
// A finished PDF as poppler reads it.
#pragma once

#include "catch.h"

#include <QImage>
#include <QProcess>
#include <QRegularExpression>

#include <filesystem>

namespace fwtest {

inline QByteArray outputOf(const QString& program, const QStringList& arguments) {
    QProcess process;
    process.start(program, arguments);
    REQUIRE(process.waitForFinished(60000));
    REQUIRE(process.exitCode() == 0);
    return process.readAllStandardOutput();
}

inline QString pathOf(const std::filesystem::path& p) { return QString::fromStdString(p.string()); }

inline int pagesIn(const std::filesystem::path& pdf) {
    return QRegularExpression("Pages: +([0-9]+)")
        .match(QString::fromUtf8(outputOf("pdfinfo", {pathOf(pdf)})))
        .captured(1)
        .toInt();
}

inline QString textIn(const std::filesystem::path& pdf) {
    return QString::fromUtf8(outputOf("pdftotext", {"-raw", pathOf(pdf), "-"}));
}

/// A page in colour. @param besides  where the picture may lie, without its ending
inline QImage pageOf(const std::filesystem::path& pdf, int page, int dpi,
                     const std::filesystem::path& besides) {
    const QString n = QString::number(page);
    outputOf("pdftoppm", {"-f", n, "-l", n, "-r", QString::number(dpi), "-png", "-singlefile", pathOf(pdf),
                          pathOf(besides)});
    return QImage(pathOf(besides) + ".png").convertToFormat(QImage::Format_RGB32);
}

} // namespace fwtest
