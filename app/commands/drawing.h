// SPDX-License-Identifier: GPL-3.0-or-later
// What commands that draw need of Qt.
#pragma once

#include <QGuiApplication>
#include <QPageSize>

#include <string>

namespace fw::cli {

/// "A4", "A3" or "Letter"; anything else counts as A4, which the command line has seen to.
QPageSize::PageSizeId pageFor(const std::string& paper);

/// Needed for drawing and fonts; without a display it draws into memory.
class Drawing {
public:
    Drawing(int& argc, char** argv);

private:
    static int& prepared(int& argc);
    QGuiApplication m_app;
};

} // namespace fw::cli
