// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "theme/paper_fonts.h"
#include "theme/window_theme.h"

#include <QApplication>
#include <QLocale>
#include <QStandardPaths>
#include <QTemporaryDir>

#include <clocale>
#include <cstdio>
#include <cstdlib>

namespace fwtest {

/// How long is waited for what has to come (ms): far longer than it takes, since nobody waits when it is
/// there.
inline constexpr int kPatienceMs = 120000;
/// What a user gets within a fifth of a second where nothing else runs comes within this (ms): tests share
/// the machine, and a sanitizer slows each step.
#if defined(FW_SANITIZED)
inline constexpr int kAtOnceMs = 10000;
#else
inline constexpr int kAtOnceMs = 1000;
#endif

/// What Qt says through here goes on to `stderr`, but for what the platform without a screen cannot do:
/// hundreds of those lines would hide the one that tells why a test failed.
inline void sayForQt(QtMsgType type, const QMessageLogContext& where, const QString& text) {
    if (text.startsWith(QLatin1String("This plugin does not support"))) return;
    std::fprintf(stderr, "%s\n", qUtf8Printable(qFormatLogMessage(type, where, text)));
    if (type == QtFatalMsg) std::abort();
}

/// The one application of the test program, made when first asked for and never taken down: by day, in the
/// face that travels with the program (offscreen there is no other), with settings of its own.
inline void needGuiApp() {
    if (QCoreApplication::instance()) return;
    static int argc = 1;
    static char name[] = "test_gui";
    static char* argv[] = {name, nullptr};
    QStandardPaths::setTestModeEnabled(true);
    // Journals of edits lie in a folder of this program's own, gone with it.
    static QTemporaryDir state;
    qputenv("XDG_STATE_HOME", state.path().toUtf8());
    qputenv("XDG_CONFIG_HOME", state.filePath(QStringLiteral("config")).toUtf8());
    // Texts on the screen follow the user's country; tests name them as they read in one. The C library below
    // keeps the country that the test runs under.
    QLocale::setDefault(QLocale::c());
    QCoreApplication::setOrganizationName(QStringLiteral("fringewright-test"));
    QCoreApplication::setApplicationName(QStringLiteral("fringewright-test"));
    qInstallMessageHandler(sayForQt);
    new QApplication(argc, argv);
    qApp->setProperty("coarseAim", true); // a test that is about the rest says so
    std::setlocale(LC_NUMERIC, "C");
    fw::loadPaperFonts();
    QFont face = fw::paperFont(13);
    face.setPointSizeF(10);
    QApplication::setFont(face);
    fw::wear(fw::Appearance::day);
}

} // namespace fwtest
