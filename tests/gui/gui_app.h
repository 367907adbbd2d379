// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QApplication>

#include <clocale>

namespace fwtest {

/// The one application of the test program, made when first asked for and never taken down.
inline void needGuiApp() {
    if (QCoreApplication::instance()) return;
    static int argc = 1;
    static char name[] = "test_gui";
    static char* argv[] = {name, nullptr};
    new QApplication(argc, argv);
    std::setlocale(LC_NUMERIC, "C");
}

} // namespace fwtest
