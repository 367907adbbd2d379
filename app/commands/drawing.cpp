// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/drawing.h"

#include "commands/common.h"

#include <clocale>
#include <cstdlib>

namespace fw::cli {
namespace {

// What Qt has to say goes where all talk goes. That a server has no runtime folder concerns nobody here.
void sayForQt(QtMsgType type, const QMessageLogContext&, const QString& text) {
    if (type == QtDebugMsg || type == QtInfoMsg || text.startsWith("QStandardPaths:")) return;
    say(text.toStdString());
}

} // namespace

QPageSize::PageSizeId pageFor(const std::string& paper) {
    return paper == "A3" ? QPageSize::A3 : paper == "Letter" ? QPageSize::Letter : QPageSize::A4;
}

Drawing::Drawing(int& argc, char** argv) : m_app(prepared(argc), argv) {
    // Qt has just taken over the user's locale; numbers stay in C notation.
    std::setlocale(LC_NUMERIC, "C");
}

int& Drawing::prepared(int& argc) {
    qInstallMessageHandler(sayForQt);
    const auto set = [](const char* name) {
        const char* value = std::getenv(name);
        return value && *value;
    };
    if (!set("DISPLAY") && !set("WAYLAND_DISPLAY") && !set("QT_QPA_PLATFORM"))
        setenv("QT_QPA_PLATFORM", "offscreen", 1);
    return argc;
}

} // namespace fw::cli
